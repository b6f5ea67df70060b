package postgres

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"halfpot/inventory"
	queries "halfpot/sql"
)

// Job is one entry of the work log: what was painted at one go, and what it
// drew from pots.
type Job struct {
	ID       string    // empty: the store gives it one, "job-12"
	Key      uuid.UUID // its own from birth and the same in every copy; nil: the store gives it one
	Force    string    // force id
	At       time.Time // zero: now
	DayOnly  bool      // only the day is known: At's calendar date
	Note     string
	Minutes  int              // at the bench, waiting taken off; 0: not timed
	Work     []inventory.Work // At and Job are the job's own, whatever they say
	Draws    []Draw
	Undoes   string // the job that this one undoes; set by UndoJob only
	UndoneBy string // the job that undid this one; set by the store
}

// Draw is an event that a job brought about on a pot.
type Draw struct {
	Pot   string             // pot id
	Event inventory.PotEvent // Job is the job's own; At zero means the job's
}

// AddJob appends a job with its work and draws, and gives it back with its id.
// A unit that is not there is Invalid, a pot NotFound, an id taken Conflict.
func (t *Tx) AddJob(ctx context.Context, j Job) (Job, error) {
	if j.Undoes != "" {
		return Job{}, &Error{Kind: Invalid, Text: "a job is undone with UndoJob"}
	}
	return t.addJob(ctx, j)
}

// AddJob is [Tx.AddJob] as a change of its own.
func (s *Store) AddJob(ctx context.Context, j Job) (Job, error) {
	err := s.Change(ctx, NewCommand("add a job"), func(tx *Tx) (err error) {
		j, err = tx.AddJob(ctx, j)
		return err
	})
	if err != nil {
		return Job{}, err
	}
	return j, nil
}

func (t *Tx) addJob(ctx context.Context, j Job) (Job, error) {
	tx := t.tx
	if j.At.IsZero() {
		j.At = t.now
	}
	if j.Key == uuid.Nil {
		j.Key = t.birth()
	}
	j.At = j.At.Truncate(time.Microsecond)
	at, day := stored(j.At, j.DayOnly)
	if err := tx.QueryRow(ctx, queries.AddJob, j.ID, j.Force, at, j.Note, orNull(j.Undoes), day,
		j.Key, j.Minutes).Scan(&j.ID); err != nil {
		return j, err
	}
	work := make([]inventory.Work, len(j.Work))
	b := &pgx.Batch{}
	for i, w := range j.Work {
		w.At, w.Job, w.Minutes = j.At, j.ID, j.Minutes
		work[i] = w
		b.Queue(queries.AddWork, j.ID, i+1, j.Force, w.Unit, w.Step, w.Figures, w.Mix)
	}
	j.Work = work
	if b.Len() > 0 {
		if err := tx.SendBatch(ctx, b).Close(); err != nil {
			return j, err
		}
	}
	events := make([]NewEvent, len(j.Draws))
	for i, d := range j.Draws {
		d.Event.Job = j.ID
		if d.Event.At.IsZero() {
			d.Event.At, d.Event.DayOnly = j.At, j.DayOnly
		}
		events[i] = NewEvent(d)
	}
	added, err := t.AddEvents(ctx, events)
	if err != nil {
		return j, err
	}
	draws := make([]Draw, len(events))
	for i, e := range events {
		draws[i] = Draw{Pot: e.Pot, Event: added[i]}
	}
	j.Draws = draws
	return j, nil
}

// UndoJob takes back a job's work and, by corrections, what it drew from pots
// and is not undone already. The job that does so is given back. A job that is
// not there is NotFound; one that is undone already, or undoes another, is
// Conflict.
func (t *Tx) UndoJob(ctx context.Context, id, note string) (Job, error) {
	jobs, err := loadJobs(ctx, t.tx, "", id, t.now.Location())
	if err != nil {
		return Job{}, err
	}
	if len(jobs) == 0 || id == "" {
		return Job{}, notFound("job", id)
	}
	j := jobs[0]
	if j.Undoes != "" {
		return Job{}, &Error{
			Kind: Conflict,
			Text: fmt.Sprintf("%s undoes %s and can't be undone itself; log the work again instead",
				id, j.Undoes),
		}
	}
	potOf := map[int64]string{} // by event
	for _, d := range j.Draws {
		potOf[d.Event.ID] = d.Pot
	}
	standing, err := collect[struct{ Pot, ID int64 }](ctx, t.tx, queries.ListStandingEventsOfJob, id)
	if err != nil {
		return Job{}, err
	}
	undo := Job{Force: j.Force, Note: note, Undoes: id}
	for _, e := range standing {
		undo.Draws = append(undo.Draws, Draw{
			Pot:   potOf[e.ID],
			Event: inventory.PotEvent{Kind: inventory.Corrected, Undoes: e.ID, Note: note},
		})
	}
	return t.addJob(ctx, undo)
}

// UndoJob is [Tx.UndoJob] as a change of its own.
func (s *Store) UndoJob(ctx context.Context, id, note string) (Job, error) {
	var undo Job
	err := s.Change(ctx, NewCommand("undo "+id), func(tx *Tx) (err error) {
		undo, err = tx.UndoJob(ctx, id, note)
		return err
	})
	if err != nil {
		return Job{}, err
	}
	return undo, nil
}

// Jobs gives the work log of a force, or of all where force is empty, in the
// order logged.
func (r *Reader) Jobs(ctx context.Context, force string) ([]Job, error) {
	var jobs []Job
	err := r.read(ctx, func(tx pgx.Tx) (err error) {
		jobs, err = loadJobs(ctx, tx, force, "", r.zone())
		return err
	})
	return jobs, err
}

func loadJobs(ctx context.Context, tx pgx.Tx, force, id string, zone *time.Location) ([]Job, error) {
	rows, err := collect[struct {
		ID       string
		Key      uuid.UUID
		Force    string
		At       time.Time
		Day      *time.Time
		Note     string
		Undoes   *string
		UndoneBy *string
	}](ctx, tx, queries.ListJobs, force, id)
	if err != nil {
		return nil, err
	}
	jobs := make([]Job, len(rows))
	ids := make([]string, len(rows))
	at := make(map[string]int, len(rows))
	for i, r := range rows {
		when, dayOnly := given(r.At, r.Day, zone)
		jobs[i] = Job{
			ID:       r.ID,
			Key:      r.Key,
			Force:    r.Force,
			At:       when,
			DayOnly:  dayOnly,
			Note:     r.Note,
			Undoes:   orZero(r.Undoes),
			UndoneBy: orZero(r.UndoneBy),
		}
		ids[i], at[r.ID] = r.ID, i
	}
	work, err := collect[struct {
		Job, Unit, Step string
		Figures         int
		Mix             string
		At              time.Time
		Minutes         int
		Day             *time.Time
	}](ctx, tx, queries.ListJobWork, ids)
	if err != nil {
		return nil, err
	}
	merged, err := loadMerged(ctx, tx)
	if err != nil {
		return nil, err
	}
	for _, w := range work {
		j := &jobs[at[w.Job]]
		j.Work = append(j.Work, inventory.Work{
			Unit:    w.Unit,
			Step:    w.Step,
			Figures: w.Figures,
			Mix:     merged.Key(w.Mix),
			At:      j.At,
			Job:     w.Job,
			Minutes: w.Minutes,
		})
		j.Minutes = w.Minutes
	}
	events, err := tx.Query(ctx, queries.ListJobEvents, ids)
	if err != nil {
		return nil, err
	}
	var pot string
	err = scanEvents(events, zone, func(_ int64, e inventory.PotEvent) error {
		j := &jobs[at[e.Job]]
		j.Draws = append(j.Draws, Draw{Pot: pot, Event: e})
		return nil
	}, &pot)
	return jobs, err
}

// saveJobs appends the jobs of a load, each once by its id.
func (t *Tx) saveJobs(ctx context.Context, want []Job) (Count, error) {
	var c Count
	for _, j := range want {
		if j.ID == "" {
			return c, &Error{Kind: Invalid, Text: "a job in a file needs an id, by which it is known again"}
		}
		have, err := loadJobs(ctx, t.tx, "", j.ID, t.now.Location())
		if err != nil {
			return c, err
		}
		if len(have) == 0 {
			if _, err := t.addJob(ctx, j); err != nil {
				return c, err
			}
			c.New++
			continue
		}
		if !have[0].says(j) {
			return c, &Error{
				Kind: Conflict,
				Text: fmt.Sprintf("the job %q is in the work log already and says something else; "+
					"what is logged never changes", j.ID),
			}
		}
		c.Same++
	}
	return c, nil
}

// says tells whether a logged job is the one that a file brings.
func (j Job) says(want Job) bool {
	sameDay := want.DayOnly && j.DayOnly && want.At.Format(time.DateOnly) == j.At.Format(time.DateOnly)
	if !want.At.IsZero() && !sameDay && !instant(want.At).Equal(j.At) {
		return false
	}
	if j.Force != want.Force || j.Note != want.Note || j.Minutes != want.Minutes ||
		len(j.Work) != len(want.Work) ||
		len(j.Draws) != len(want.Draws) {
		return false
	}
	for i, w := range want.Work {
		w.At, w.Job, w.Minutes = j.Work[i].At, j.ID, j.Minutes
		if !same(j.Work[i], w) {
			return false
		}
	}
	for i, d := range want.Draws {
		have := j.Draws[i].Event
		d.Event.ID, d.Event.Key, d.Event.Job = have.ID, have.Key, j.ID
		if d.Event.At.IsZero() {
			d.Event.At, d.Event.DayOnly = j.At, j.DayOnly
		}
		if j.Draws[i].Pot != d.Pot || !same(have, d.Event) {
			return false
		}
	}
	return true
}
