package textfile

import (
	"encoding/csv"
	"io"
	"strconv"

	"github.com/google/uuid"

	"halfpot/inventory"
)

// The CSV writers write what the readers read back as equal values: a header
// and a row each, lines ending in CRLF as RFC 4180 has it. An error is the
// writer's.

// WritePaints writes a list of paints.
func WritePaints(w io.Writer, paints []inventory.Paint) error {
	return writeCSV(w, "paints", len(paints), func(i int, put func(...string)) {
		p := paints[i]
		colour := ""
		if p.Colour != nil {
			colour = p.Colour.String()
		}
		put(p.ID, Protect(p.Maker), Protect(p.Range), Protect(p.Name), Protect(p.Code), string(p.Type),
			colour, unlessZero(p.VolumeSolids), unlessZero(p.Density), string(p.Finish), string(p.Carrier),
			string(p.Tone))
	})
}

// WriteStandIns writes a list of stand-ins.
func WriteStandIns(w io.Writer, standIns []inventory.StandIn) error {
	return writeCSV(w, "stand-ins", len(standIns), func(i int, put func(...string)) {
		s := standIns[i]
		put(s.For, s.Use, strconv.Itoa(s.Compromise), yes(s.EitherWay), Protect(s.Note), yes(s.OtherKind))
	})
}

// WriteSpectra writes measured spectra, a row a reading.
func WriteSpectra(w io.Writer, spectra []inventory.Spectrum) error {
	return writeCSV(w, "spectra", len(spectra), func(i int, put func(...string)) {
		for _, r := range spectra[i].Readings {
			put(spectra[i].Paint, formatFloat(r.NM), formatFloat(r.Reflectance))
		}
	})
}

// WriteTrialMixes writes the mixes that were made and seen.
func WriteTrialMixes(w io.Writer, trials []inventory.TrialMix) error {
	return writeCSV(w, "trial-mixes", len(trials), func(i int, put func(...string)) {
		put(partsText(trials[i].Mix), trials[i].Seen.String(), Protect(trials[i].Note))
	})
}

// WriteProducts writes a list of products, a row for each kind of pot in a box.
// idx, which may be nil, tells what is counted by the piece.
func WriteProducts(w io.Writer, products []inventory.Product, idx *inventory.Index) error {
	return writeCSV(w, "products", len(products), func(i int, put func(...string)) {
		p := products[i]
		for _, c := range p.Contents {
			put(p.ID, Protect(p.Name), Protect(p.Code), c.Paint, amount(idx, c.Paint, c.Volume),
				strconv.Itoa(c.Count))
		}
	})
}

// WriteShops writes a list of shops without their delivery charges.
func WriteShops(w io.Writer, shops []inventory.Shop) error {
	return writeCSV(w, "shops", len(shops), func(i int, put func(...string)) {
		s := shops[i]
		put(s.ID, Protect(s.Name), s.Currency, moneyText(s.MinOrder))
	})
}

// WriteDelivery writes the delivery charges of shops.
func WriteDelivery(w io.Writer, shops []inventory.Shop) error {
	return writeCSV(w, "delivery", len(shops), func(i int, put func(...string)) {
		for _, d := range shops[i].Delivery {
			put(shops[i].ID, bandText(d.From, shops[i].Currency), bandText(d.Fee, shops[i].Currency))
		}
	})
}

// WriteOffers writes a list of offers.
func WriteOffers(w io.Writer, offers []inventory.Offer) error {
	return writeCSV(w, "offers", len(offers), func(i int, put func(...string)) {
		o := offers[i]
		limit := ""
		if o.Limit != nil {
			limit = strconv.Itoa(*o.Limit)
		}
		put(o.Product, o.Shop, o.Price.String(), limit)
	})
}

// WritePots writes a list of pots without their events; idx as for WriteProducts.
func WritePots(w io.Writer, pots []inventory.Pot, idx *inventory.Index) error {
	return writeCSV(w, "pots", len(pots), func(i int, put func(...string)) {
		p := pots[i]
		cost, opened := "", ""
		if p.Cost != nil {
			cost = p.Cost.String()
		}
		if p.Opened != nil {
			opened = formatWhen(*p.Opened, p.OpenedDay)
		}
		put(p.ID, p.Paint, p.Product, amount(idx, p.Paint, p.Nominal), "", "", "", opened, cost,
			Protect(p.Place), unlessZeroOf(p.TareGrams, grams))
	})
}

// WritePotEvents writes the events of pots, oldest first in each pot.
func WritePotEvents(w io.Writer, pots []inventory.Pot) error {
	return writeCSV(w, "pot-events", len(pots), func(i int, put func(...string)) {
		for _, e := range pots[i].Events {
			volume, fraction, undoes, estimated := "", "", "", ""
			if e.Volume != nil {
				volume = e.Volume.String()
			}
			if e.Fraction != nil {
				fraction = formatFloat(*e.Fraction)
			}
			if e.Undoes != 0 {
				undoes = strconv.FormatInt(e.Undoes, 10)
			}
			if e.Estimated {
				estimated = "yes"
			}
			put(pots[i].ID, strconv.FormatInt(e.ID, 10), string(e.Kind), formatWhen(e.At, e.DayOnly),
				volume, fraction,
				unlessZeroOf(e.GrossGrams, grams), unlessZeroOf(e.TareGrams, grams), estimated, undoes, e.Job, Protect(e.Note),
				formatMoment(e), formatKey(e.Key))
		}
	})
}

// writeCSV writes the header of a kind and what rows puts for each of n things.
func writeCSV(w io.Writer, name string, n int, rows func(i int, put func(...string))) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	var failed error
	put := func(cells ...string) {
		if err := c.Write(cells); err != nil && failed == nil {
			failed = err
		}
	}
	for _, k := range kinds() {
		if k.name == name {
			put(k.columns...)
		}
	}
	for i := range n {
		rows(i, put)
	}
	c.Flush()
	if failed == nil {
		failed = c.Error()
	}
	return failed
}

func formatKey(k uuid.UUID) string {
	if k == uuid.Nil {
		return ""
	}
	return k.String()
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func unlessZero(v float64) string {
	if v == 0 {
		return ""
	}
	return formatFloat(v)
}

func unlessZeroOf(v float64, u units) string {
	if v == 0 {
		return ""
	}
	return u.format(v)
}

func moneyText(m inventory.Money) string {
	if m.IsZero() {
		return ""
	}
	return m.String()
}

// bandText writes nothing as 0 of the shop's currency.
func bandText(m inventory.Money, currency string) string {
	if m.Currency == "" {
		m.Currency = currency
	}
	return m.String()
}

// amount writes a volume, or items where the paint is counted.
func amount(idx *inventory.Index, paint string, v inventory.Volume) string {
	if idx != nil {
		if p := idx.Paints[paint]; p != nil {
			return p.FormatAmount(v)
		}
	}
	return v.String()
}
