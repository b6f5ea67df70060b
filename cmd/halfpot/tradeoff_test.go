package main

import (
	"encoding/json"
	"os"
	"slices"
	"strconv"
	"testing"
	"time"
)

// TestTradeOffHoldsWhatBuyAnswers: one of the trades is as good as the order that
// halfpot buy gives, in money and in points.
func TestTradeOffHoldsWhatBuyAnswers(t *testing.T) {
	t.Parallel()
	d := newBench(t)
	at := time.Date(2026, 3, 9, 12, 0, 0, 0, time.UTC)
	if os.Getenv("HALFPOT_LONG") != "" {
		at = time.Date(2026, 11, 28, 12, 0, 0, 0, time.UTC) // where it once did not
	}
	d.now = func() time.Time { return at }
	d.must("load", demoFolder(t))
	type money struct {
		Amount string `json:"amount"`
	}
	type order struct {
		Total  money `json:"total"`
		Points int64 `json:"compromise_points"`
	}
	amount := func(m money) float64 {
		v, err := strconv.ParseFloat(m.Amount, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	var own order
	var all struct {
		Trades []order `json:"trades"`
	}
	for into, args := range map[any][]string{
		&own: {"buy", "salt-pass", "--format", "json"},
		&all: {"buy", "salt-pass", "--trade-off", "--format", "json"},
	} {
		if err := json.Unmarshal([]byte(d.must(args...)), into); err != nil {
			t.Fatal(err)
		}
	}
	if len(all.Trades) < 2 ||
		!slices.ContainsFunc(all.Trades, func(o order) bool {
			return o.Points <= own.Points && amount(o.Total) <= amount(own.Total)
		}) {
		t.Errorf("buy answers %v; none of %v is as good", own, all.Trades)
	}
}
