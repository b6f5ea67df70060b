package hand

import (
	"fmt"
	"math"
	"slices"
	"time"

	"halfpot/inventory"
	"halfpot/inventory/shelf"
)

// Untaught is a stretch of work between two readings that teaches nothing,
// and why.
type Untaught struct {
	Pot      string
	From, To time.Time
	Reason   string
}

// coarsest is how far off the readings may leave the use between them, as a
// fraction of it: beyond, the log of it is no normal any more.
const coarsest = 0.4

// mainShare is the part of the work between two readings that one method must
// have for the observation to be put down to it.
const mainShare = 0.8

// Observations finds what the pots of a shelf have to teach: wherever two
// readings of a pot have logged, estimated use between them, the difference is
// what was really used. What the tables say for that work is reckoned afresh
// from the catalogue's forces, so that a better area or film corrects the past
// too. Stretches with a spill, of two methods, or told apart too coarsely come
// back as Untaught. Events after now do not count.
func Observations(b *shelf.LevelBook, c *inventory.Catalogue, s *inventory.Shelf, now time.Time) ([]Observation, []Untaught, error) {
	jobs, err := newJobBook(c, s)
	if err != nil {
		return nil, nil, err
	}
	var out []Observation
	var not []Untaught
	for i := range s.Pots {
		p := &s.Pots[i]
		paint := jobs.idx.Paints[p.Paint]
		if paint == nil {
			continue
		}
		for _, st := range b.Stretches(p, now) {
			if len(st.Uses) == 0 {
				continue
			}
			o, reason := jobs.observe(p, paint, st)
			if reason != "" {
				not = append(not, Untaught{Pot: p.ID, From: st.From, To: st.To, Reason: reason})
				continue
			}
			out = append(out, o)
		}
	}
	return out, not, nil
}

// observe reads a stretch as an observation, or says why it is none.
func (j *jobBook) observe(p *inventory.Pot, paint *inventory.Paint, st shelf.Stretch) (Observation, string) {
	base := map[inventory.Method]float64{}
	var volumes []float64
	job := "" // the last one begun
	var jobs []string
	for _, e := range st.Uses {
		volumes = append(volumes, e.Volume.ML())
		if e.Job != "" && !slices.Contains(jobs, e.Job) {
			jobs, job = append(jobs, e.Job), e.Job
		}
		j.split(e.Job, paint, e.Volume.ML(), base)
	}
	method, part := mainMethod(base)
	actual, sd := st.Gone-st.Measured, math.Sqrt(st.Variance)
	switch {
	case st.Spilt:
		return Observation{}, "a spill lies between the readings"
	case part < mainShare:
		return Observation{}, "more than one method was used between the readings"
	case !st.Told:
		return Observation{}, "one of the readings needs the weight of the empty pot"
	case actual <= 0 || sd > coarsest*actual:
		return Observation{}, fmt.Sprintf("the readings are too coarse to tell: %.1f ml, give or take %.1f", actual, sd)
	}
	return Observation{Pot: p.ID, Paint: paint.ID, Type: paint.Type, Method: method, From: st.From, To: st.To, Actual: actual,
		Estimated: total(base), ReadingSD: sd / actual, Jobs: effective(volumes), Job: job}, ""
}

// effective is the number of equal jobs that average out as well as these.
func effective(v []float64) float64 {
	var sum, squares float64
	for _, x := range v {
		sum += x
		squares += x * x
	}
	if squares == 0 {
		return 1
	}
	return sum * sum / squares
}

// mainMethod is the method with most of the work, the first by name among
// equals, and its part of it.
func mainMethod(base map[inventory.Method]float64) (inventory.Method, float64) {
	best := inventory.Method("")
	for m, v := range base {
		if v > base[best] || (v == base[best] && m < best) || best == "" {
			best = m
		}
	}
	return best, base[best] / math.Max(total(base), 1e-300)
}

func total(base map[inventory.Method]float64) float64 {
	sum := 0.0
	for _, v := range base {
		sum += v
	}
	return sum
}
