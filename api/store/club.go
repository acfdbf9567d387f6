package store

import (
	"context"

	"swardcase/api/service"
)

const clubColumns = recordColumns + ", document"

func scanClub(from scanner) (service.Club, error) {
	var club service.Club
	var document []byte
	if err := from.Scan(append(recordFields(&club.Record), &document)...); err != nil {
		return club, err
	}
	inUTC(&club.Record)
	return club, readDocument(document, &club.ClubInput)
}

// Club reads one club.
func (t tx) Club(ctx context.Context, _, id string) (service.Club, error) {
	return one(ctx, t.q, scanClub, "SELECT "+clubColumns+" FROM clubs WHERE id = $1", id)
}

// Clubs lists clubs.
func (t tx) Clubs(ctx context.Context, f service.Filter) ([]service.Club, error) {
	q := selectFrom(clubColumns, "clubs")
	q.whereText("id =", f.ClubID)
	q.whereText("id >", f.After)
	q.whereText("name =", f.Name)
	q.whereLive(f)
	return many(ctx, t.q, scanClub, q, "id", f.Limit)
}

// InsertClub adds a club.
func (t tx) InsertClub(ctx context.Context, club service.Club) error {
	document, err := asDocument(club.ClubInput)
	if err != nil {
		return err
	}
	_, err = t.q.exec(ctx, `INSERT INTO clubs (`+recordColumns+`, name, document)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		append(recordValues(club.Record), club.Name, document)...)
	return err
}

// UpdateClub writes a club over its last version.
func (t tx) UpdateClub(ctx context.Context, club service.Club) error {
	document, err := asDocument(club.ClubInput)
	if err != nil {
		return err
	}
	return changed(t.q.exec(ctx, `UPDATE clubs
		SET version = $3, updated_at = $4, archived_at = $5, name = $6, document = $7
		WHERE id = $1 AND club_id = $2 AND version + 1 = $3`,
		club.ID, club.ClubID, club.Version, club.UpdatedAt, club.ArchivedAt, club.Name, document))
}

// one reads the row of a query.
func one[R any](ctx context.Context, q querier, scan func(scanner) (R, error), sql string, args ...any) (R, error) {
	var found []R
	err := q.rows(ctx, sql, args, func(from scanner) error {
		thing, err := scan(from)
		found = append(found, thing)
		return err
	})
	if err == nil && len(found) == 0 {
		err = errNoRow
	}
	if err != nil {
		var none R
		return none, err
	}
	return found[0], nil
}

// many reads the rows of a query, in order and up to a limit.
func many[R any](ctx context.Context, q querier, scan func(scanner) (R, error), list *query, order string, limit int) ([]R, error) {
	sql, args := list.page(order, limit)
	var found []R
	err := q.rows(ctx, sql, args, func(from scanner) error {
		thing, err := scan(from)
		found = append(found, thing)
		return err
	})
	return found, err
}
