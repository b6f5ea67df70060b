package faults

import (
	"os"
	"syscall"
	"testing"
	"time"

	"halfpot/sql/server/servertest"
)

// The program, one of the server's processes or the server itself is ended at a
// random moment of a command.
func TestKills(t *testing.T) {
	t.Parallel()
	r := chance(t)
	d := private(t, servertest.Home(t))
	d.load(t)
	l := newLedger()
	span := d.usual(t) * 3 / 2
	kinds := map[string]int{}
	for range dose(6, 1000) {
		c := l.next(r)
		cmd, wait := d.begin(t.Context(), c.args...)
		time.Sleep(time.Duration(r.Int64N(int64(span) + 1)))
		switch kind := r.IntN(10); {
		case kind < 4:
			kinds["program killed"]++
			_ = cmd.Process.Kill() // it may have ended already
		case kind < 6:
			kinds["program told to end"]++
			_ = cmd.Process.Signal([]os.Signal{os.Interrupt, syscall.SIGTERM}[r.IntN(2)])
		case kind < 8:
			kinds["a process of the server killed"]++
			if pids := d.victims(); len(pids) > 1 {
				kill(pids[1+r.IntN(len(pids)-1)])
			}
		default:
			kinds["server killed"]++
			if pids := d.victims(); len(pids) > 0 {
				kill(pids[0])
			}
		}
		l.record(c, wait())
	}
	t.Logf("kills %v: %v", kinds, l.check(t, d))
}
