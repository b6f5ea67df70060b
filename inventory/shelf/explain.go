package shelf

import (
	"fmt"
	"time"

	"halfpot/inventory"
)

// LevelStep is what a pot was known to hold after one of its events.
type LevelStep struct {
	Event inventory.PotEvent
	Level Level
	Note  string // what the event did to the sum, in words
}

// ExplainLevel follows a pot's standing events to now: how the level that is
// shown came about.
func (b *LevelBook) ExplainLevel(p *inventory.Pot, now time.Time) []LevelStep {
	events := p.InOrder()
	f := newFilter(b, p, b.model(p), events)
	var out []LevelStep
	for i := range events {
		if events[i].At.After(now) {
			break
		}
		f.advance(events[i].At)
		before := f.level()
		f.event(&events[i])
		after := f.level()
		out = append(out, LevelStep{events[i], after, levelNote(&events[i], before, after, f.tareOf(&events[i]))})
	}
	return out
}

// levelNote says in words what an event did.
func levelNote(e *inventory.PotEvent, before, after Level, tare Tare) string {
	low, high := after.Range(0.9)
	left := fmt.Sprintf("%s ml left (%s to %s)", inventory.FourDigits(after.Left().ML()), inventory.FourDigits(low.ML()), inventory.FourDigits(high.ML()))
	switch {
	case after.Gone != "":
		return "nothing left to use"
	case e.Kind == inventory.Weighed && tare.Grams == 0:
		return left + "; the weight of the empty pot is not known, so only what went since the last weighing counts"
	case after.overruled > before.overruled:
		return left + "; the reading is believed over the record, which said " + inventory.FourDigits(before.Left().ML()) + " ml"
	case e.Kind == inventory.Judged || e.Kind == inventory.Weighed:
		if before.SD() > 0 && before.overruled == after.overruled && !before.Measured.IsZero() {
			return fmt.Sprintf("%s; reading and record weighed by how sure they are", left)
		}
		return left
	case e.Kind == inventory.Used && e.Estimated:
		return left + "; drawn by the estimate"
	case after.Overdrawn:
		return left + "; more was used than it held"
	}
	return left
}
