package faults

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"testing"

	"halfpot/sql/server"
	"halfpot/sql/server/servertest"
)

// The disk is so small that making the database, loading or a later command finds
// it full. What was acknowledged is there once there is room again.
func TestSmallDisks(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("needs root to mount a small disk")
	}
	t.Parallel()
	r := chance(t)
	sizes := []int{45}
	if long() {
		sizes = nil
		for mb := 5; mb <= 60; mb += 5 {
			sizes = append(sizes, mb)
		}
	}
	for _, mb := range sizes {
		t.Run(fmt.Sprintf("%d MB", mb), func(t *testing.T) {
			home := servertest.Home(t)
			size := func(mb int, how string) {
				t.Helper()
				if out, err := exec.Command("mount", "-t", "tmpfs", "-o",
					fmt.Sprintf("%ssize=%dm,mode=0711", how, mb), "tmpfs", home).CombinedOutput(); err != nil {
					if long() {
						t.Fatalf("can't mount a small disk here: %v: %s", err, out)
					}
					t.Skipf("can't mount a small disk here: %v: %s", err, out)
				}
			}
			size(mb, "")
			t.Cleanup(func() {
				_, _ = server.Stop(context.Background(), server.Options{Private: true, Home: home})
				if out, err := exec.Command("umount", home).CombinedOutput(); err != nil {
					t.Errorf("%v: %s", err, out)
				}
			})
			d := private(t, home)
			l := newLedger()
			loaded := d.run(t.Context(), "load", files+"paints.csv", files+"products.csv",
				files+"shops.csv", files+"delivery.csv", files+"offers.csv", files+"pots.csv",
				files+"force.toml")
			// Something else of the painter's takes most of what is left.
			ballast := home + "/ballast"
			_ = exec.Command("dd", "if=/dev/zero", "of="+ballast, "bs=64k", "count=4096").Run() // ends when the disk is full
			full := 0
			for range dose(2, 20) {
				c := l.next(r)
				o := d.run(t.Context(), c.args...)
				if o.status != 0 {
					full++
				}
				l.record(c, o)
			}
			if err := os.Remove(ballast); err != nil {
				t.Fatal(err)
			}
			size(400, "remount,")
			d.load(t) // changes nothing where it was loaded before
			for range 3 {
				c := l.next(r)
				l.record(c, d.run(t.Context(), c.args...))
			}
			t.Logf("%d MB: load ended with status %d, %d commands failed on the full disk: %v",
				mb, loaded.status, full, l.check(t, d))
		})
	}
}
