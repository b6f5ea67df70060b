package inventory

import (
	"testing"
	"time"

	"github.com/shopspring/decimal"
)

// Everything in these tests is invented: makers, ranges, shops and force.

var noon = time.Date(2026, 3, 2, 12, 0, 0, 0, time.UTC)

func eur(cents int64) Money { return MoneyOfMinor(cents, "EUR") }

func one(paint string) Mix { return Mix{{paint, 1}} }

// smallCatalogue is a whole small world: nine paints of two ranges, two shops,
// a set, one recipe with an alternative, a mix and thinning, and two units.
func smallCatalogue() *Catalogue {
	limit := 3
	c := &Catalogue{
		Paints: []Paint{
			{ID: "bone-can", Maker: "Quillbrook", Range: "Field", Name: "Bone primer", Type: PrimerSpray},
			{ID: "cloth-a", Maker: "Quillbrook", Range: "Field", Name: "Cloth", Type: OneCoat},
			{ID: "cloth-b", Maker: "Tarnwick", Range: "Bench", Name: "Cloth again", Type: OneCoat},
			{ID: "leather", Maker: "Quillbrook", Range: "Field", Name: "Leather", Type: Base},
			{ID: "black", Maker: "Quillbrook", Range: "Field", Name: "Black", Type: Base},
			{ID: "strap-b", Maker: "Tarnwick", Range: "Bench", Name: "Strap", Type: Base},
			{ID: "shade", Maker: "Tarnwick", Range: "Bench", Name: "Brown shade", Type: Wash},
			{ID: "medium", Maker: "Tarnwick", Range: "Bench", Name: "Flow medium", Type: Medium},
			{ID: "soft-pencil", Maker: "Tarnwick", Range: "Bench", Name: "Soft pencil", Type: Pencil},
		},
		StandIns: []StandIn{{For: "black", Use: "strap-b", Compromise: 4}},
		Products: []Product{
			{ID: "p-bone", Contents: []Content{{"bone-can", 400 * Millilitre, 1}}},
			{ID: "p-cloth-a", Contents: []Content{{"cloth-a", 17 * Millilitre, 1}}},
			{ID: "p-cloth-b", Contents: []Content{{"cloth-b", 17 * Millilitre, 1}}},
			{ID: "p-leather", Contents: []Content{{"leather", 17 * Millilitre, 1}}},
			{ID: "p-black", Contents: []Content{{"black", 17 * Millilitre, 1}}},
			{ID: "p-strap", Contents: []Content{{"strap-b", 12 * Millilitre, 1}}},
			{ID: "p-shade", Contents: []Content{{"shade", 24 * Millilitre, 1}}},
			{ID: "p-medium", Contents: []Content{{"medium", 24 * Millilitre, 1}}},
			{ID: "p-pencil", Contents: []Content{{"soft-pencil", Item, 1}}},
			{ID: "kit-box", Contents: []Content{{"leather", 12 * Millilitre, 1}, {"black", 12 * Millilitre, 1}, {"shade", 12 * Millilitre, 1}}},
		},
		Shops: []Shop{
			{ID: "corner", Name: "The corner shop", Currency: "EUR"},
			{ID: "post", Name: "By post", Currency: "EUR", Delivery: []DeliveryBand{{eur(0), eur(450)}, {eur(2000), eur(0)}}},
		},
		Figures: []FigureType{{ID: "walker", Name: "Walking figure", AreaCM2: 9.6025, Regions: []Region{
			{Name: "cloth", Share: 0.55}, {Name: "straps", Share: 0.15}, {Name: "skin", Share: 0.1}, {Name: "base-top", AreaCM2: 4.909}}}},
		Recipes: []Recipe{{ID: "plain", Name: "Plain walker", Steps: []Step{
			{ID: "prime", Regions: RegionSet{All: true}, Mix: one("bone-can")},
			{ID: "cloth", Regions: RegionSet{Names: []string{"cloth"}}, Mix: one("cloth-a"),
				Alternatives: []Alternative{{Label: "near twin", Mix: one("cloth-b"), Compromise: 2}}},
			{ID: "straps", Label: "leatherwork", Regions: RegionSet{Names: []string{"straps"}}, Mix: Mix{{"leather", 2}, {"black", 1}}},
			{ID: "shade", Regions: RegionSet{All: true, Except: []string{"base-top"}}, Mix: one("shade"), Thinning: &Thinning{"medium", 1, 1}},
			{ID: "edges", Regions: RegionSet{Names: []string{"cloth"}}, Mix: one("soft-pencil"), Optional: true},
		}}},
		Forces: []Force{{ID: "patrol", Units: []Unit{
			{ID: "first", Figures: 10, Figure: "walker", Recipe: "plain"},
			{ID: "second", Figures: 6, Figure: "walker", Recipe: "plain"}},
			Match: []Match{{Label: "straps alike", Steps: []string{"leatherwork"}}}}},
	}
	for _, o := range []struct {
		product, shop string
		cents         int64
	}{
		{"p-bone", "corner", 1250}, {"p-bone", "post", 990},
		{"p-cloth-a", "corner", 420}, {"p-cloth-b", "post", 280},
		{"p-leather", "corner", 350}, {"p-leather", "post", 310},
		{"p-black", "corner", 350}, {"p-black", "post", 310}, {"p-strap", "corner", 260},
		{"p-shade", "corner", 480}, {"p-shade", "post", 430},
		{"p-medium", "corner", 500}, {"p-medium", "post", 450},
		{"p-pencil", "corner", 190}, {"kit-box", "post", 690},
	} {
		c.Offers = append(c.Offers, Offer{Product: o.product, Shop: o.shop, Price: eur(o.cents)})
	}
	c.Offers[0].Limit = &limit
	return c
}

// must gives v or ends the test.
func must[T any](t *testing.T) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

func dec(s string) decimal.Decimal { return decimal.RequireFromString(s) }
