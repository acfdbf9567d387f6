package store

import (
	"context"

	"swardcase/api/service"
)

const priceBookColumns = recordColumns + ", series_id, edition, used_at, document"

func scanPriceBook(from scanner) (service.PriceBook, error) {
	var book service.PriceBook
	var document []byte
	if err := from.Scan(append(recordFields(&book.Record), &book.SeriesID, &book.Edition, &book.UsedAt, &document)...); err != nil {
		return book, err
	}
	inUTC(&book.Record)
	book.UsedAt = utc(book.UsedAt)
	return book, readDocument(document, &book.Book)
}

// PriceBook reads one edition.
func (t tx) PriceBook(ctx context.Context, clubID, id string) (service.PriceBook, error) {
	return one(ctx, t.q, scanPriceBook, "SELECT "+priceBookColumns+" FROM price_books WHERE club_id = $1 AND id = $2", clubID, id)
}

// PriceBooks lists the editions of a club, or of one series.
func (t tx) PriceBooks(ctx context.Context, f service.Filter) ([]service.PriceBook, error) {
	q := selectFrom(priceBookColumns, "price_books")
	q.where("club_id =", f.ClubID)
	q.whereText("id >", f.After)
	q.whereText("series_id =", f.SeriesID)
	q.whereLive(f)
	return many(ctx, t.q, scanPriceBook, q, "id", f.Limit)
}

// LastEdition is the highest edition of a series.
func (t tx) LastEdition(ctx context.Context, clubID, seriesID string) (int64, error) {
	var last int64
	err := t.q.row(ctx, `SELECT coalesce(max(edition), 0) FROM price_books WHERE club_id = $1 AND series_id = $2`,
		[]any{clubID, seriesID}, &last)
	return last, err
}

// InsertPriceBook adds an edition.
func (t tx) InsertPriceBook(ctx context.Context, book service.PriceBook) error {
	document, err := asDocument(book.Book)
	if err != nil {
		return err
	}
	_, err = t.q.exec(ctx, `INSERT INTO price_books (`+priceBookColumns+`)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
		append(recordValues(book.Record), book.SeriesID, book.Edition, book.UsedAt, document)...)
	return err
}

// UpdatePriceBook writes an edition over its last version. The database refuses
// it when the document of a used edition would change.
func (t tx) UpdatePriceBook(ctx context.Context, book service.PriceBook) error {
	document, err := asDocument(book.Book)
	if err != nil {
		return err
	}
	return changed(t.q.exec(ctx, `UPDATE price_books
		SET version = $3, updated_at = $4, archived_at = $5, used_at = $6, document = $7
		WHERE id = $1 AND club_id = $2 AND version + 1 = $3`,
		book.ID, book.ClubID, book.Version, book.UpdatedAt, book.ArchivedAt, book.UsedAt, document))
}
