package postgres

import (
	"context"
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"

	"halfpot/inventory"
	"halfpot/inventory/colour"
	"halfpot/inventory/coverage"
	"halfpot/sql/server/servertest"
)

func TestMain(m *testing.M) { servertest.Main(m) }

// noon is what the clock of test stores says.
var noon = time.Date(2031, 5, 4, 12, 0, 0, 123456000, time.UTC)

// open gives a store on a database of the test's own.
func open(t testing.TB) *Store {
	t.Helper()
	return openAt(t, servertest.New(t))
}

func openAt(t testing.TB, url string) *Store {
	t.Helper()
	s, err := Open(t.Context(), url, Options{Now: func() time.Time { return noon }})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	return s
}

func mustSave(t testing.TB, s *Store, l Load) Report {
	t.Helper()
	r, err := s.Save(t.Context(), l)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func mustLoad(t testing.TB, s *Store) inventory.Catalogue {
	t.Helper()
	c, err := s.LoadCatalogue(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// mustFail fails unless err is an *Error of the kind that mentions all of want.
func mustFail(t *testing.T, err error, kind ErrorKind, want ...string) {
	t.Helper()
	e, ok := errors.AsType[*Error](err)
	if !ok {
		t.Fatalf("error is %T (%v), want *Error", err, err)
	}
	if e.Kind != kind {
		t.Errorf("kind %q, want %q: %v", e.Kind, kind, err)
	}
	for _, w := range want {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("%q does not mention %q", err, w)
		}
	}
}

// do runs a statement past the store.
func do(t testing.TB, s *Store, sql string, args ...any) {
	t.Helper()
	if _, err := s.pool.Exec(t.Context(), sql, args...); err != nil {
		t.Fatal(err)
	}
}

// dump is everything in the tables, as text, in a fixed order.
func dump(t testing.TB, s *Store) string {
	t.Helper()
	var b strings.Builder
	names, err := collectRows(t, s, "select table_name::text from information_schema.tables where "+
		"table_schema = 'halfpot' and table_type = 'BASE TABLE' order by 1")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		rows, err := collectRows(t, s,
			"select xmin::text || ' ' || x::text from halfpot."+name+" as x order by x::text")
		if err != nil {
			t.Fatal(err)
		}
		b.WriteString(name + "\n" + strings.Join(rows, "\n") + "\n")
	}
	return b.String()
}

func collectRows(t testing.TB, s *Store, sql string) ([]string, error) {
	rows, err := s.pool.Query(t.Context(), sql)
	if err != nil {
		return nil, err
	}
	return pgx.CollectRows(rows, pgx.RowTo[string])
}

func ptr[T any](v T) *T { return &v }

func eur(s string) inventory.Money {
	return inventory.Money{Amount: decimal.RequireFromString(s), Currency: "EUR"}
}

// risingReadings are a spectrum from 400 to 700 nm.
func risingReadings() (out []colour.Reading) {
	for nm := 400.0; nm <= 700; nm += 20 {
		out = append(out, colour.Reading{NM: nm, Reflectance: nm / 1000})
	}
	return out
}

// example uses every field of a catalogue. All names are invented.
func example() inventory.Catalogue {
	return inventory.Catalogue{
		Paints: []inventory.Paint{
			{ID: "zest-bone", Maker: "Zest", Range: "Plain", Name: "Bone", Code: "Z1", Type: inventory.Base,
				Colour: &inventory.Colour{R: 0xc8, G: 0xb8, B: 0x9a}, VolumeSolids: 0.3, Density: 1.25,
				Finish: inventory.Gloss, Carrier: inventory.Water, Tone: inventory.Light},
			{ID: "zest-black", Maker: "Zest", Range: "Plain", Name: "Black", Type: inventory.Base},
			{ID: "ako-chalk", Maker: "Ako", Name: "Chalk \"ü\" 'x'", Type: inventory.Layer},
			{ID: "ako-water", Maker: "Ako", Name: "Water", Type: inventory.Medium},
		},
		StandIns: []inventory.StandIn{{For: "zest-bone", Use: "ako-chalk", Compromise: 2, EitherWay: true,
			OtherKind: true, Note: "a shade colder"}},
		Spectra: []inventory.Spectrum{{Paint: "zest-bone", Readings: risingReadings()}},
		TrialMixes: []inventory.TrialMix{{
			Mix:  inventory.Mix{{Paint: "zest-bone", Parts: 2}, {Paint: "ako-chalk", Parts: 1}},
			Seen: inventory.Colour{R: 0xc0, G: 0xb4, B: 0xa0},
			Note: "a spoonful",
		}},
		Products: []inventory.Product{
			{ID: "zest-bone-17", Name: "Bone 17 ml", Code: "A-1",
				Contents: []inventory.Content{{Paint: "zest-bone", Volume: 17000, Count: 1}}},
			{
				ID:   "starter",
				Name: "Starter",
				Contents: []inventory.Content{
					{Paint: "zest-black", Volume: 17000, Count: 2},
					{Paint: "zest-bone", Volume: 12500, Count: 1},
				},
			},
		},
		Shops: []inventory.Shop{
			{ID: "corner", Name: "Corner", Currency: "EUR", MinOrder: eur("5"), Delivery: []inventory.DeliveryBand{
				{From: eur("0"), Fee: eur("4.95")}, {From: eur("30.00"), Fee: eur("2.5")},
				{From: eur("60"), Fee: eur("-1")}}},
			{ID: "harbour", Name: "Harbour", Currency: "EUR"},
		},
		Offers: []inventory.Offer{
			{Product: "starter", Shop: "corner", Price: eur("9.990"), Limit: ptr(3)},
			{Product: "zest-bone-17", Shop: "corner", Price: eur("3.20")},
			{Product: "zest-bone-17", Shop: "harbour", Price: eur("3"), Limit: ptr(0)},
		},
		Figures: []inventory.FigureType{
			{ID: "guard", Name: "Guard", AreaCM2: 9.6025, Source: coverage.Measured, Note: "guard.stl", Material: inventory.Metal, Regions: []inventory.Region{
				{Name: "skin", Share: 0.125}, {Name: "jacket", Share: 0.3333333333333333},
				{Name: "base-top", AreaCM2: 4.909}}},
			{
				ID:   "scout",
				Name: "Scout",
				Body: &inventory.Body{
					StatureCM: 174,
					MassKG:    70.5,
					Scale:     56,
					Formula:   coverage.Boyd,
					Clo:       1.2,
					Kit:       1.3,
					Heroic:    1.1,
				},
			},
			{ID: "plain", Name: "Plain", Body: &inventory.Body{Scale: 72}},
		},
		Recipes: []inventory.Recipe{{ID: "field", Name: "Field dress", Steps: []inventory.Step{
			{ID: "prime", Name: "Prime", Regions: inventory.RegionSet{
				All:    true,
				Except: []string{"base-top"},
			}, Method: coverage.SprayCan,
				Mix:        inventory.Mix{{Paint: "zest-bone", Parts: 1}},
				Coats:      1,
				WaitAfter:  90 * time.Minute,
				NextWithin: 20 * time.Hour},
			{ID: "straps", Name: "Straps", Label: "straps", Regions: inventory.RegionSet{Names: []string{
				"jacket",
				"skin",
			}}, Share: 0.4,
				Method:   coverage.Brush,
				Mix:      inventory.Mix{{Paint: "zest-bone", Parts: 2}, {Paint: "zest-black", Parts: 1}},
				Thinning: &inventory.Thinning{Medium: "ako-water", PaintParts: 2, MediumParts: 1},
				Alternatives: []inventory.Alternative{
					{Label: "lighter", Mix: inventory.Mix{{Paint: "ako-chalk", Parts: 1}}, Compromise: 3},
					{Mix: inventory.Mix{{Paint: "zest-black", Parts: 1.5}, {Paint: "ako-chalk", Parts: 0.5}},
						Thinning: &inventory.Thinning{Medium: "ako-water", PaintParts: 1, MediumParts: 3}},
					{
						Label:    "watered",
						Mix:      inventory.Mix{{Paint: "zest-black", Parts: 1}},
						Thinning: &inventory.Thinning{PaintParts: 2, MediumParts: 1},
					}},
				NoStandIns: true,
				Coats:      2,
				CoatsOver:  []inventory.CoatsOver{{Undercoat: "zest-black", Coats: 3}},
				Optional:   true,
				FilmUM:     35.5, Loss: ptr(0.0), Allow: []string{"wash-dry", "hidden"}},
			{ID: "decals", Name: "Decals", Kind: inventory.Transfer, Regions: inventory.RegionSet{
				Names: []string{"jacket"},
			}, PerItem: 40,
				After: []string{"straps"}},
		}}},
		Forces: []inventory.Force{{ID: "patrol", Name: "Patrol",
			Units: []inventory.Unit{
				{ID: "first", Name: "First", Figures: 8, Figure: "guard", Recipe: "field",
					Undercoat: "zest-black", Batch: 4, Worth: ptr(0), After: []string{"second"}},
				{ID: "second", Name: "Second", Figures: 6, Figure: "guard", Recipe: "field"}},
			Match: []inventory.Match{
				{Label: "straps alike", Steps: []string{"straps"}, Units: []string{"second", "first"}},
				{Label: "all", Steps: []string{"prime", "straps"}},
			},
		}},
	}
}

func TestOpenBringsAnEmptyDatabaseUpToDate(t *testing.T) {
	url := servertest.Empty(t)
	var said []string
	s, err := Open(t.Context(), url, Options{Announce: func(m string) { said = append(said, m) }})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if len(said) == 0 {
		t.Error("nothing was announced")
	}
	if c := mustLoad(t, s); len(c.Paints) != 0 {
		t.Errorf("%d paints in a new database", len(c.Paints))
	}
}

func TestOpenRefusesTheWrongAndTheAbsent(t *testing.T) {
	_, err := Open(t.Context(), "postgres://u:secret@h:port/db", Options{})
	mustFail(t, err, Invalid, "URL")
	if strings.Contains(err.Error(), "secret") {
		t.Error("the password shows")
	}
	_, err = Open(t.Context(), "postgres://u@127.0.0.1:1/db?connect_timeout=2", Options{})
	mustFail(t, err, Unavailable)
	url := servertest.New(t)
	do(t, openAt(t, servertest.AsOwner(url)),
		"insert into halfpot.migration (version_id, is_applied) values (999, true)")
	if _, err := Open(t.Context(), url, Options{}); err == nil ||
		!strings.Contains(err.Error(), "newer than this halfpot") {
		t.Errorf("a newer database: %v", err)
	}
}

func TestUnqualifiedNamesAreNotFound(t *testing.T) {
	s := open(t)
	if _, err := s.pool.Exec(t.Context(), "select * from paint"); err == nil {
		t.Error("a name without its schema was found")
	}
}

func TestCanceledContextIsPassedOn(t *testing.T) {
	s := open(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := s.LoadCatalogue(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
}
