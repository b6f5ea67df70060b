package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"
)

// BenchmarkStart runs whole processes of the program as it is built: one that
// says its version, one that finds nothing to do, and one that solves a small problem. cpu-ms/op is user
// and system time of the process.
func BenchmarkStart(b *testing.B) {
	dir := b.TempDir()
	program, problem := filepath.Join(dir, "halfpot"), filepath.Join(dir, "desk.json")
	build := exec.Command("go", "build", "-o", program, ".")
	build.Env = append(os.Environ(), "CGO_ENABLED=0") // as the README has it
	if out, err := build.CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	text, err := exec.Command(program, "generate", "desk", "--seed", "1").Output()
	if err != nil {
		b.Fatal(err)
	}
	if err := os.WriteFile(problem, text, 0o644); err != nil {
		b.Fatal(err)
	}
	for name, c := range map[string]struct {
		args   []string
		status int
	}{
		"version": {[]string{"--version"}, exitDone},
		"nothing": {[]string{"solve", filepath.Join(dir, "missing.json")}, exitBadInput},
		"desk":    {[]string{"solve", problem}, exitDone},
	} {
		b.Run(name, func(b *testing.B) {
			var cpu time.Duration
			for b.Loop() {
				p := exec.Command(program, c.args...)
				_ = p.Run() // its status says how it went
				if got := p.ProcessState.ExitCode(); got != c.status {
					b.Fatalf("status %d, want %d", got, c.status)
				}
				cpu += p.ProcessState.UserTime() + p.ProcessState.SystemTime()
			}
			b.ReportMetric(float64(cpu.Microseconds())/1000/float64(b.N), "cpu-ms/op")
		})
	}
}

// BenchmarkTree builds the commands that one call needs, and all of them.
func BenchmarkTree(b *testing.B) {
	for name, args := range map[string][]string{"one": {"solve"}, "all": nil} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				newRoot(&app{}, args)
			}
		})
	}
}
