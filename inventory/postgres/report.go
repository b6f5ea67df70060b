package postgres

import "halfpot/inventory"

// Load is what files bring: a part of a catalogue, pots with their events, and
// work done. All of it is saved, or nothing.
type Load struct {
	// Catalogue holds things to add or change, by id; what it does not mention
	// stays as it is. Forces bring no work: Done is passed over, Jobs do that.
	Catalogue inventory.Catalogue
	// Pots are added or changed by id. Their events are appended, each once: an
	// event is known again by its key; one without a key gets one made of its pot
	// and all that it says. An event without a time is taken to have happened now.
	Pots []inventory.Pot
	// Jobs are appended, each once by its id, which must be given.
	Jobs []Job
}

// Count says what became of the things of one kind.
type Count struct {
	New     int `json:"new"`
	Changed int `json:"changed"`
	Same    int `json:"same"`
}

func (c Count) total() int { return c.New + c.Changed + c.Same }

// Report says what a load did.
type Report struct {
	Paints     Count `json:"paints"`
	StandIns   Count `json:"stand_ins"`
	Spectra    Count `json:"spectra"`
	TrialMixes Count `json:"trial_mixes"`
	Products   Count `json:"products"`
	Shops      Count `json:"shops"`
	Offers     Count `json:"offers"`
	Figures    Count `json:"figures"`
	Recipes    Count `json:"recipes"`
	Forces     Count `json:"forces"`
	Pots       Count `json:"pots"`
	PotEvents  Count `json:"pot_events"` // Changed is always 0
	Jobs       Count `json:"jobs"`       // Changed is always 0
}

// Total sums the kinds up.
func (r Report) Total() Count {
	var t Count
	for _, c := range []Count{
		r.Paints, r.StandIns, r.Spectra, r.TrialMixes, r.Products, r.Shops, r.Offers, r.Figures, r.Recipes,
		r.Forces, r.Pots, r.PotEvents, r.Jobs,
	} {
		t.New += c.New
		t.Changed += c.Changed
		t.Same += c.Same
	}
	return t
}

// After joins the report of files that were loaded after a record with what the
// record brought, by table. What has no place in a report is given beside it.
func (r Report) After(record map[string]Count) (Report, map[string]Count) {
	other := map[string]Count{}
	for table, n := range record {
		into, known := map[string]*Count{
			"paint": &r.Paints, "stand_in": &r.StandIns, "spectrum": &r.Spectra, "trial_mix": &r.TrialMixes,
			"product": &r.Products, "shop": &r.Shops, "offer": &r.Offers, "figure": &r.Figures,
			"recipe": &r.Recipes, "force": &r.Forces, "pot": &r.Pots, "pot_event": &r.PotEvents,
			"job": &r.Jobs,
		}[table]
		switch {
		case !known:
			other[table] = n
		case into.total() == 0:
			*into = n
		default:
			into.New += n.New
			into.Same = max(0, into.Same-n.New)
		}
	}
	return r, other
}
