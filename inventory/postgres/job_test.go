package postgres

import (
	"slices"
	"testing"

	"halfpot/inventory"
)

func mustPot(t testing.TB, s *Store, id string) inventory.Pot {
	t.Helper()
	pots, err := s.Pots(t.Context(), id)
	if err != nil {
		t.Fatal(err)
	}
	return pots[0]
}

func TestAJobCountsAndDraws(t *testing.T) {
	s := stocked(t)
	j, err := s.AddJob(t.Context(), exampleJob(""))
	if err != nil {
		t.Fatal(err)
	}
	if j.ID != "job-1" {
		t.Errorf("id %q", j.ID)
	}
	jobs, err := s.Jobs(t.Context(), "patrol")
	if err != nil || len(jobs) != 1 || !same(jobs[0], j) {
		t.Errorf("got  %+v, %v\nwant %+v", jobs, err, j)
	}
	done := mustLoad(t, s).Forces[0].Done
	if len(done) != 2 || done[1].Figures != 3 || done[1].Mix != "ako-chalk" || done[1].Job != "job-1" ||
		!done[1].At.Equal(j.At) {
		t.Errorf("done %+v", done)
	}
	events := mustPot(t, s, "bone-1").Events
	if e := events[len(events)-1]; e.Job != "job-1" || *e.Volume != 120 || !e.At.Equal(j.At) {
		t.Errorf("drew %+v", e)
	}
	if other, err := s.Jobs(t.Context(), "other"); err != nil || len(other) != 0 {
		t.Errorf("%+v, %v", other, err)
	}
}

func TestARefusedJobWritesNothing(t *testing.T) {
	s := stocked(t)
	before := dump(t, s)
	for _, tt := range []struct {
		name   string
		change func(*Job)
		kind   ErrorKind
		want   string
	}{
		{"no force", func(j *Job) { j.Force = "nowhere" }, Invalid, "force"},
		{"no unit", func(j *Job) { j.Work[1].Unit = "third" }, Invalid, "a unit that the force does not have"},
		{"no figures", func(j *Job) { j.Work[1].Figures = 0 }, Invalid, "impossible figures"},
		{"no pot", func(j *Job) { j.Draws[0].Pot = "none" }, NotFound, `pot "none"`},
		{"no volume", func(j *Job) { j.Draws[0].Event.Volume = nil }, Invalid, "lacks the measure"},
		{"odd id", func(j *Job) { j.ID = "My Job" }, Invalid, "lower-case letters"},
		{"undoing", func(j *Job) { j.Undoes = "job-1" }, Invalid, "UndoJob"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			j := exampleJob("j")
			tt.change(&j)
			_, err := s.AddJob(t.Context(), j)
			mustFail(t, err, tt.kind, tt.want)
			if dump(t, s) != before {
				t.Error("something was written")
			}
		})
	}
}

func TestUndoJobTakesWorkAndPaintBack(t *testing.T) {
	s := stocked(t)
	bone := mustPot(t, s, "bone-1")
	whole := bone.Standing()
	job := exampleJob("evening")
	job.Draws = append(job.Draws, job.Draws[0])
	added, err := s.AddJob(t.Context(), job)
	if err != nil {
		t.Fatal(err)
	}
	// One of its draws was corrected by hand before.
	if _, err := s.AddEvents(t.Context(), []NewEvent{{
		Pot:   "bone-1",
		Event: inventory.PotEvent{Kind: inventory.Corrected, Undoes: added.Draws[0].Event.ID},
	}}); err != nil {
		t.Fatal(err)
	}
	undo, err := s.UndoJob(t.Context(), "evening", "logged the wrong unit")
	if err != nil {
		t.Fatal(err)
	}
	if undo.Undoes != "evening" || len(undo.Draws) != 1 ||
		undo.Draws[0].Event.Undoes != added.Draws[1].Event.ID || undo.Draws[0].Pot != "bone-1" {
		t.Errorf("got %+v", undo)
	}
	if done := mustLoad(t, s).Forces[0].Done; len(done) != 0 {
		t.Errorf("still done: %+v", done)
	}
	if bone = mustPot(t, s, "bone-1"); !same(bone.Standing(), whole) {
		got := bone.Standing()
		t.Errorf("stand: %+v\nwant %+v", got, whole)
	}
	jobs, err := s.Jobs(t.Context(), "")
	if err != nil || len(jobs) != 2 || jobs[0].UndoneBy != undo.ID || jobs[1].Undoes != "evening" {
		t.Errorf("log %+v, %v", jobs, err)
	}
	_, err = s.UndoJob(t.Context(), "evening", "")
	mustFail(t, err, Conflict, "undone already")
	_, err = s.UndoJob(t.Context(), undo.ID, "")
	mustFail(t, err, Conflict, "can't be undone itself")
	for _, id := range []string{"nothing", ""} {
		_, err = s.UndoJob(t.Context(), id, "")
		mustFail(t, err, NotFound, "job")
	}
}

func TestJobsOfFilesAreKnownByTheirID(t *testing.T) {
	s := stocked(t)
	l := Load{Jobs: []Job{exampleJob("a"), exampleJob("b")}}
	if r := mustSave(t, s, l); r.Jobs != (Count{New: 2}) {
		t.Errorf("first %+v", r.Jobs)
	}
	if r := mustSave(t, s, l); r.Jobs != (Count{Same: 2}) {
		t.Errorf("second %+v", r.Jobs)
	}
	for name, change := range map[string]func(*Job){
		"figures": func(j *Job) { j.Work[0].Figures++ },
		"note":    func(j *Job) { j.Note = "other" },
		"time":    func(j *Job) { j.At = noon },
		"draw":    func(j *Job) { j.Draws[0].Event.Volume = ptr(inventory.Volume(1)) },
		"pot":     func(j *Job) { j.Draws[0].Pot = "black-1" },
		"fewer":   func(j *Job) { j.Work = slices.Clip(j.Work[:1]) },
	} {
		j := exampleJob("a")
		change(&j)
		_, err := s.Save(t.Context(), Load{Jobs: []Job{j}})
		if e := err; e == nil {
			t.Errorf("%s: no error", name)
			continue
		}
		mustFail(t, err, Conflict, `"a"`)
	}
}

func TestFactors(t *testing.T) {
	s := stocked(t)
	if _, err := s.AddJob(t.Context(), exampleJob("j")); err != nil {
		t.Fatal(err)
	}
	brush := inventory.Factor{
		Level:        inventory.MethodLevel,
		Key:          "brush",
		LogMean:      0.12074382,
		LogSD:        0.14367394,
		Observations: 4,
		Updated:      noon,
	}
	bone := inventory.Factor{
		Level:        inventory.PaintLevel,
		Key:          "zest-bone",
		LogMean:      -0.1,
		LogSD:        0.3,
		Observations: 1,
	}
	changes := []inventory.FactorChange{
		{Factor: bone, Change: inventory.FactorLearned, Observed: 0.9, Job: "j"},
		{
			Factor: inventory.Factor{
				Level:        inventory.MethodLevel,
				Key:          "brush",
				LogMean:      0.2,
				LogSD:        0.4,
				Observations: 3,
				Updated:      noon,
			},
			Change:   inventory.FactorLearned,
			Observed: 1.2,
		},
		{Factor: brush, Change: inventory.FactorLearned, Observed: 1.1, Note: "scales"},
		{Factor: brush, Change: inventory.FactorFlagged, Observed: 30, Note: "a spill?"},
	}
	if err := s.ChangeFactors(t.Context(), changes); err != nil {
		t.Fatal(err)
	}
	fs, err := s.Factors(t.Context())
	bone.Updated = noon
	if err != nil || !same([]inventory.Factor(fs), []inventory.Factor{brush, bone}) {
		t.Errorf("got %+v, %v", fs, err)
	}
	changes[0].Factor.Updated = noon
	all, err := s.FactorHistory(t.Context(), "", "")
	if err != nil || !same(all, changes) {
		t.Errorf("got  %+v, %v\nwant %+v", all, err, changes)
	}
	some, err := s.FactorHistory(t.Context(), inventory.MethodLevel, "brush")
	if err != nil || !same(some, changes[1:]) {
		t.Errorf("got %+v, %v", some, err)
	}
	if err := s.ChangeFactors(t.Context(), []inventory.FactorChange{{
		Factor: inventory.Factor{Level: inventory.MethodLevel, Key: "brush"},
		Change: inventory.FactorReset,
	}}); err != nil {
		t.Fatal(err)
	}
	if fs, err := s.Factors(t.Context()); err != nil || !same([]inventory.Factor(fs), []inventory.Factor{bone}) {
		t.Errorf("after the reset: %+v, %v", fs, err)
	}
	err = s.ChangeFactors(t.Context(), []inventory.FactorChange{
		{Factor: brush, Change: inventory.FactorLearned},
		{Factor: brush, Change: "guessed"},
	})
	mustFail(t, err, Invalid, "no known change")
	if all, err := s.FactorHistory(t.Context(), "", ""); err != nil || len(all) != 5 {
		t.Errorf("half was written: %d entries, %v", len(all), err)
	}
}

func TestSettings(t *testing.T) {
	s := open(t)
	for _, v := range []string{"0.1", "0.05"} {
		if err := s.SetSetting(t.Context(), "eye-error", v); err != nil {
			t.Fatal(err)
		}
	}
	got, err := s.Settings(t.Context())
	if err != nil || len(got) != 1 || got["eye-error"] != "0.05" {
		t.Errorf("got %v, %v", got, err)
	}
	mustFail(t, s.SetSetting(t.Context(), "Eye Error", "1"), Invalid, "lower-case letters")
	if err := s.RemoveSetting(t.Context(), "eye-error"); err != nil {
		t.Error(err)
	}
	mustFail(t, s.RemoveSetting(t.Context(), "eye-error"), NotFound, `"eye-error"`)
}
