package postgres

import (
	"context"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

type productRow struct{ ID, Name, Code string }

type contentRow struct {
	Product, Paint string
	VolumeUL       int64 `db:"volume_ul"`
	Count          int
}

func queueProducts(b *pgx.Batch, c *inventory.Catalogue) {
	queue(b, queries.ListProducts, func(r productRow) error {
		c.Products = append(c.Products, inventory.Product{ID: r.ID, Name: r.Name, Code: r.Code})
		return nil
	})
	product := parent(&c.Products, func(p *inventory.Product) string { return p.ID })
	queue(b, queries.ListProductContents, func(r contentRow) error {
		p := product(r.Product)
		p.Contents = append(p.Contents, inventory.Content{
			Paint:  r.Paint,
			Volume: inventory.Volume(r.VolumeUL),
			Count:  r.Count,
		})
		return nil
	})
}

func productID(p inventory.Product) string { return p.ID }

func saveProducts(ctx context.Context, tx pgx.Tx, have, want []inventory.Product) (Count, error) {
	c := compare(have, want, productID)
	err := put(ctx, tx, c, queries.IntoProduct, queries.UpdateProduct, func(p inventory.Product) []any {
		return []any{p.ID, p.Name, p.Code}
	})
	if err != nil {
		return c.count, err
	}
	if err := clearParts(ctx, tx, c, queries.ClearProductContents, productID); err != nil {
		return c.count, err
	}
	var contents [][]any
	for _, p := range c.written() {
		for i, x := range p.Contents {
			contents = append(contents, []any{p.ID, i + 1, x.Paint, int64(x.Volume), x.Count})
		}
	}
	return c.count, copyInto(ctx, tx, queries.IntoProductContent, contents)
}
