package faults

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"halfpot/sql/server/servertest"
)

var hostOf = regexp.MustCompile(`host='([^']*)'`)

// The connection is cut around the commit: before it, after it and before its
// answer, and within the answer. Whoever connects anew gets through.
func TestCutCommits(t *testing.T) {
	t.Parallel()
	r := chance(t)
	url := servertest.New(t)
	socket := hostOf.FindStringSubmatch(url)[1]
	dir, err := os.MkdirTemp("", "halfpot-cut-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	p := newProxy(t, dir, filepath.Join(socket, ".s.PGSQL.5432"))
	d := &desk{where: []string{"--database", strings.Replace(url, socket, dir, 1)}, url: url}
	d.load(t)
	l := newLedger()
	tries := map[moment]int{}
	n := dose(6, 500)
	for range n {
		c := l.next(r)
		when := []moment{before, after, afterReply}[r.IntN(3)]
		tries[when]++
		p.arm.Store(int32(when))
		l.record(c, d.run(t.Context(), c.args...))
		p.arm.Store(int32(never))
	}
	found := l.check(t, d)
	t.Logf("%d of %d commits cut (%d before, %d after, %d within the answer): %v",
		p.cuts.Load(), n, tries[before], tries[after], tries[afterReply], found)
	if p.cuts.Load() == 0 {
		t.Error("nothing was cut: does the proxy still know a commit?")
	}
	// The server answers the question after the cut, so the outcome can be known.
	if found.unknown > 0 {
		t.Errorf("%d commands do not know what became of them", found.unknown)
	}
}

// A server that falls silent at the commit is left soon after Ctrl-C.
func TestSilenceAtTheCommit(t *testing.T) {
	t.Parallel()
	url := servertest.New(t)
	socket := hostOf.FindStringSubmatch(url)[1]
	dir, err := os.MkdirTemp("", "halfpot-cut-")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = os.RemoveAll(dir) })
	p := newProxy(t, dir, filepath.Join(socket, ".s.PGSQL.5432"))
	d := &desk{where: []string{"--database", strings.Replace(url, socket, dir, 1)}, url: url}
	d.load(t)
	l := newLedger()
	c := command{"token-00001", "event", []string{"pot", "use", "saddle-1", "0.001ml", "--note", "token-00001"}}
	p.arm.Store(int32(silence))
	cmd, wait := d.begin(t.Context(), c.args...)
	for p.cuts.Load() == 0 {
		time.Sleep(5 * time.Millisecond)
		if t.Context().Err() != nil {
			t.Fatal("it never committed")
		}
	}
	time.Sleep(200 * time.Millisecond)
	_ = cmd.Process.Signal(os.Interrupt)
	told := time.Now()
	ended := make(chan outcome, 1)
	go func() { ended <- wait() }()
	select {
	case o := <-ended:
		t.Logf("left %v after Ctrl-C: %v", time.Since(told).Round(time.Millisecond), o)
		l.record(c, o)
	case <-time.After(20 * time.Second):
		_ = cmd.Process.Kill()
		t.Fatal("it still waits for a silent server, 20 s after Ctrl-C")
	}
	l.check(t, d)
}
