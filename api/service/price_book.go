package service

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"time"

	"swardcase/api/contract"
	"swardcase/costs"
	"swardcase/model"
	"swardcase/model/fault"
)

// PriceBookInput is what a caller says of a price book. With Succeeds, it is the
// next edition of the series that the named one belongs to.
type PriceBookInput struct {
	Book     costs.PriceBook `json:"book"`
	Succeeds string          `json:"succeeds,omitempty"`
}

// PriceBook is one stored edition of a price book. Once an appraisal has used
// it, at UsedAt, it never changes.
type PriceBook struct {
	Record
	SeriesID string          `json:"series_id"`
	Edition  int64           `json:"edition"`
	UsedAt   *time.Time      `json:"used_at"`
	Book     costs.PriceBook `json:"book"`
}

var priceBooks = keeper[PriceBook]{
	noun: "price_book", get: Tx.PriceBook, list: Tx.PriceBooks, update: Tx.UpdatePriceBook,
	record: func(b *PriceBook) *Record { return &b.Record },
}

// CreatePriceBook stores a new price book, or a new edition of one.
func (s *Service) CreatePriceBook(ctx context.Context, call Call, clubID string, document contract.Document) (PriceBook, error) {
	return once(ctx, s, call, clubID, func() (func(Tx) (PriceBook, error), error) {
		input, err := readPriceBook(document)
		if err != nil {
			return nil, err
		}
		return func(tx Tx) (PriceBook, error) {
			if err := s.openClub(ctx, tx, clubID); err != nil {
				return PriceBook{}, err
			}
			return makeIn(ctx, s, tx, priceBooks, clubID, func(record Record) (PriceBook, error) {
				return insertPriceBook(ctx, tx, record, input)
			})
		}, nil
	})
}

// insertPriceBook stores a book after the last edition of its series.
func insertPriceBook(ctx context.Context, tx Tx, record Record, input PriceBookInput) (PriceBook, error) {
	book := PriceBook{Record: record, SeriesID: record.ID, Edition: 1, Book: input.Book}
	if input.Succeeds != "" {
		earlier, err := tx.PriceBook(ctx, record.ClubID, input.Succeeds)
		if err != nil {
			return book, namedAt("/succeeds", input.Succeeds, priceBooks.words(), "give the id of an edition, or leave it out", err)
		}
		last, err := tx.LastEdition(ctx, record.ClubID, earlier.SeriesID)
		if err != nil {
			return book, err
		}
		book.SeriesID, book.Edition = earlier.SeriesID, last+1
	}
	return book, tx.InsertPriceBook(ctx, book)
}

// PriceBook reads one edition.
func (s *Service) PriceBook(ctx context.Context, clubID, id string) (PriceBook, error) {
	return read(ctx, s, priceBooks, clubID, id)
}

// PriceBooks lists the editions of a club's price books.
func (s *Service) PriceBooks(ctx context.Context, f Filter) (Page[PriceBook], error) {
	return list(ctx, s, priceBooks, f)
}

// ReplacePriceBook writes an edition anew that no appraisal has used yet.
func (s *Service) ReplacePriceBook(ctx context.Context, clubID, id string, match Match, document contract.Document) (PriceBook, error) {
	input, err := readPriceBook(document)
	if err != nil {
		return PriceBook{}, err
	}
	return change(ctx, s, priceBooks, alteration[PriceBook]{clubID, id, match, actionReplace, func(_ Tx, book *PriceBook) error {
		switch {
		case input.Succeeds != "":
			return fault.New("/succeeds", input.Succeeds, "an edition's place in its series cannot change", "leave it out")
		case book.UsedAt != nil:
			return &Error{Kind: Conflict, Detail: "An appraisal has used this edition, so that it cannot change. Post a new edition that succeeds it."}
		}
		book.Book = input.Book
		return live(&book.Record)
	}})
}

// ArchivePriceBook takes an edition out of the list.
func (s *Service) ArchivePriceBook(ctx context.Context, clubID, id string, match Match) (PriceBook, error) {
	return archive(ctx, s, priceBooks, clubID, id, match)
}

// RestorePriceBook brings an archived edition back.
func (s *Service) RestorePriceBook(ctx context.Context, call Call, clubID, id string, match Match) (PriceBook, error) {
	return restore(ctx, s, call, priceBooks, clubID, id, match)
}

// readPriceBook reads a price book and checks what the contract cannot.
func readPriceBook(document contract.Document) (PriceBookInput, error) {
	var input PriceBookInput
	if err := document.Decode(&input); err != nil {
		return input, err
	}
	var faults fault.List
	faults.Under("/book", model.AsFaults(input.Book.Validate()))
	return input, faults.Err()
}

// usePriceBook marks an edition as used, which freezes it. priced is the edition
// as it was when it was priced with: what is stored must still say the same. Two
// appraisals may take a new edition at the same moment; one of them marks it.
func (s *Service) usePriceBook(ctx context.Context, tx Tx, priced PriceBook) error {
	for range useTries {
		current, err := tx.PriceBook(ctx, priced.ClubID, priced.ID)
		if err != nil {
			return named(priceBooks.words(), err)
		}
		same, err := sameBook(current.Book, priced.Book)
		switch {
		case err != nil:
			return err
		case !same:
			return &Error{Kind: Conflict, Detail: "The price book changed while it was being priced with: send the request again."}
		case current.UsedAt != nil:
			return nil // it cannot change any more
		}
		_, err = changeIn(ctx, s, tx, priceBooks, alteration[PriceBook]{priced.ClubID, priced.ID, Match{Versions: []int64{current.Version}}, actionUse, func(_ Tx, book *PriceBook) error {
			now := s.timeline.now()
			book.UsedAt = &now
			return nil
		}})
		if err == nil || KindOf(err) != PreconditionFailed {
			return err
		}
		// Somebody else has marked, archived or replaced it since: look again.
	}
	return &Error{Kind: Conflict, Detail: "The price book is being changed at this moment: send the request again."}
}

// useTries is how often a change by somebody else is looked at anew.
const useTries = 3

// sameBook reports whether two books say the same.
func sameBook(a, b costs.PriceBook) (bool, error) {
	first, err := json.Marshal(a)
	if err != nil {
		return false, fmt.Errorf("write the price book: %w", err)
	}
	second, err := json.Marshal(b)
	if err != nil {
		return false, fmt.Errorf("write the price book: %w", err)
	}
	return bytes.Equal(first, second), nil
}
