package postgres

import (
	"context"
	"time"

	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// LoadCatalogue gives the whole catalogue, each kind in the order it was first
// entered, and with each force the work that stands on it.
func (r *Reader) LoadCatalogue(ctx context.Context) (inventory.Catalogue, error) {
	var c inventory.Catalogue
	err := r.read(ctx, func(tx pgx.Tx) (err error) {
		c, err = loadCatalogue(ctx, tx, r.zone())
		return err
	})
	return c, err
}

// CatalogueAt is LoadCatalogue with the work as it stood at a time: what is dated
// until then, and not undone until then. All else is as it is now.
func (r *Reader) CatalogueAt(ctx context.Context, at time.Time) (inventory.Catalogue, error) {
	var c inventory.Catalogue
	err := r.read(ctx, func(tx pgx.Tx) (err error) {
		c, err = loadCatalogueAt(ctx, tx, r.zone(), &at)
		return err
	})
	return c, err
}

func loadCatalogue(ctx context.Context, tx pgx.Tx, zone *time.Location) (inventory.Catalogue, error) {
	return loadCatalogueAt(ctx, tx, zone, nil)
}

func loadCatalogueAt(
	ctx context.Context, tx pgx.Tx, zone *time.Location, until *time.Time,
) (inventory.Catalogue, error) {
	var c inventory.Catalogue
	b := &pgx.Batch{} // one round trip for all
	queuePaints(b, &c)
	queueStandIns(b, &c)
	queueMeasured(b, &c)
	queueProducts(b, &c)
	queueShops(b, &c)
	queueOffers(b, &c)
	queueFigures(b, &c)
	queueRecipes(b, &c)
	queueForces(b, &c, zone, until)
	queue(b, queries.ListRetired, func(r struct{ Kind, ID string }) error {
		c.Retired = c.Retired.With(r.Kind, r.ID)
		return nil
	})
	if err := tx.SendBatch(ctx, b).Close(); err != nil {
		return inventory.Catalogue{}, err
	}
	return c, nil
}

// parent finds the thing that a part belongs to, by id. Rows of parts come
// after those of the things.
func parent[T any](things *[]T, id func(*T) string) func(string) *T {
	var byID map[string]*T
	return func(want string) *T {
		if byID == nil {
			byID = make(map[string]*T, len(*things))
			for i := range *things {
				byID[id(&(*things)[i])] = &(*things)[i]
			}
		}
		return byID[want]
	}
}
