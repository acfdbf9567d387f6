package store

import (
	"context"

	"swardcase/api/service"
)

const greenColumns = recordColumns + ", document"

func scanGreen(from scanner) (service.Green, error) {
	var green service.Green
	var document []byte
	if err := from.Scan(append(recordFields(&green.Record), &document)...); err != nil {
		return green, err
	}
	inUTC(&green.Record)
	return green, readDocument(document, &green.GreenInput)
}

// Green reads one green.
func (t tx) Green(ctx context.Context, clubID, id string) (service.Green, error) {
	return one(ctx, t.q, scanGreen, "SELECT "+greenColumns+" FROM greens WHERE club_id = $1 AND id = $2", clubID, id)
}

// Greens lists the greens of a club.
func (t tx) Greens(ctx context.Context, f service.Filter) ([]service.Green, error) {
	q := selectFrom(greenColumns, "greens")
	q.where("club_id =", f.ClubID)
	q.whereText("id >", f.After)
	q.whereText("name =", f.Name)
	q.whereLive(f)
	return many(ctx, t.q, scanGreen, q, "id", f.Limit)
}

// InsertGreen adds a green.
func (t tx) InsertGreen(ctx context.Context, green service.Green) error {
	document, err := asDocument(green.GreenInput)
	if err != nil {
		return err
	}
	_, err = t.q.exec(ctx, `INSERT INTO greens (`+recordColumns+`, name, document)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
		append(recordValues(green.Record), green.Green.Name, document)...)
	return err
}

// UpdateGreen writes a green over its last version.
func (t tx) UpdateGreen(ctx context.Context, green service.Green) error {
	document, err := asDocument(green.GreenInput)
	if err != nil {
		return err
	}
	return changed(t.q.exec(ctx, `UPDATE greens
		SET version = $3, updated_at = $4, archived_at = $5, name = $6, document = $7
		WHERE id = $1 AND club_id = $2 AND version + 1 = $3`,
		green.ID, green.ClubID, green.Version, green.UpdatedAt, green.ArchivedAt, green.Green.Name, document))
}
