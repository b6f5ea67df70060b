package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"halfpot/sql/server/servertest"
)

// What the README shows is what the program prints: every block fenced as
// "console" is run, command by command, in one empty HOME, and compared.
// "go test ./cmd/halfpot -run README -update" rewrites the blocks.
func TestREADME(t *testing.T) {
	t.Parallel() // it mostly waits for servers of its own
	path := filepath.Join("..", "..", "README.md")
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if day, _, _ := strings.Cut(testNow, "T"); !strings.Contains(string(text), "was made on "+day) {
		t.Errorf("README.md must say that what it shows was made on %s", day)
	}
	sh := newReadmeShell(t)
	var out strings.Builder
	inside, ran := false, 0
	var block []string
	for line := range strings.Lines(string(text)) {
		switch {
		case !inside && strings.TrimSpace(line) == "```console":
			inside, block = true, nil
			out.WriteString(line)
		case inside && strings.TrimSpace(line) == "```":
			inside = false
			got, n := sh.runBlock(block)
			ran += n
			out.WriteString(got + line)
		case inside:
			block = append(block, line)
		default:
			out.WriteString(line)
		}
	}
	if inside {
		t.Fatal("README.md: the last block is not closed")
	}
	if ran < 3 {
		t.Fatalf("README.md shows only %d commands: has its markup changed?", ran)
	}
	if out.String() == string(text) {
		return
	}
	if *update {
		if err := os.WriteFile(path, []byte(out.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Errorf("README.md does not show what the program prints (-update rewrites it):\n%s",
		firstDifference(string(text), out.String()))
}

// readmeShell runs the README's commands as a reader's shell would.
type readmeShell struct {
	t    *testing.T
	home string
	dir  string
	now  time.Time // a second later with each command, however long they take: what is left of a paint hangs on it
}

func newReadmeShell(t *testing.T) *readmeShell {
	home := servertest.Home(t)
	// What the commands print is compared, not how a cluster is made: .ci/run begins with none.
	for _, name := range []string{"halfpot", "halfpot-demo"} {
		below := filepath.Join(home, ".local", "share", name)
		if err := os.MkdirAll(below, 0o755); err != nil {
			t.Fatal(err)
		}
		servertest.CopyCluster(t, below)
	}
	now, err := time.Parse(time.RFC3339, testNow)
	if err != nil {
		t.Fatal(err)
	}
	s := &readmeShell{t: t, home: home, dir: home, now: now}
	t.Cleanup(func() {
		for _, which := range [][]string{{"--demo"}, nil} {
			if out, err := s.command("halfpot " + strings.Join(append(which, "database", "stop"), " ")).CombinedOutput(); err != nil {
				t.Errorf("stop the database: %v\n%s", err, out)
			}
			if folder, err := s.command("halfpot " + strings.Join(append(which, "database", "path"), " ")).Output(); err == nil {
				if dir := strings.TrimSpace(string(folder)); strings.HasPrefix(dir, "/var/lib/halfpot-") {
					_ = os.RemoveAll(dir) // root's cluster stands outside HOME; a leftover hurts nobody
				}
			}
		}
	})
	return s
}

func (s *readmeShell) command(line string) *exec.Cmd {
	s.now = s.now.Add(time.Second)
	c := exec.Command("sh", "-c", line)
	c.Dir = s.dir
	c.Env = append(os.Environ(), "HOME="+s.home, "XDG_DATA_HOME=", "XDG_CACHE_HOME=", "NO_COLOR=1", "COLUMNS=80",
		"DATABASE_URL=", "PGHOST=", "PGPORT=", "PGDATABASE=", "PGSERVICE=",
		testNowVariable+"="+s.now.Format(time.RFC3339), testSinceVariable+"=")
	return c
}

// runBlock runs the commands of a block and gives the block as it should read.
func (s *readmeShell) runBlock(block []string) (string, int) {
	var out strings.Builder
	n := 0
	for _, line := range block {
		command, ok := strings.CutPrefix(strings.TrimRight(line, "\n"), "$ ")
		if !ok {
			continue
		}
		n++
		out.WriteString(line)
		got, err := s.command(strings.ReplaceAll(command, "go run ./cmd/halfpot", "halfpot")).CombinedOutput()
		if strings.Contains(string(got), "panic: ") { // which ends with the status of bad input
			s.t.Fatalf("%s:\n%s", command, got)
		}
		if err != nil {
			exit, exited := err.(*exec.ExitError)
			if !exited || exit.ExitCode() != exitBadInput && exit.ExitCode() != exitNoPlan {
				s.t.Fatalf("%s: %v\n%s", command, err, got)
			}
			// A block may show bad input or a reason on purpose: its text is compared like any other.
		}
		for l := range strings.Lines(string(got)) {
			out.WriteString(strings.TrimRight(l, " \n") + "\n")
		}
	}
	return out.String(), n
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return fmt.Sprintf("line %d\n shows:  %s\n prints: %s", i+1, x[i], y[i])
		}
	}
	return fmt.Sprintf("%d lines shown, %d printed", len(x), len(y))
}

// Each command of the two weeks and what is asked with it stand in the README.
func TestTwoWeeksStandInREADME(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	script, err := os.ReadFile(filepath.Join("testdata", "script", "twoweeks.txtar"))
	if err != nil {
		t.Fatal(err)
	}
	place := regexp.MustCompile(`--(demo|home \S+) `) // where the data are, which the README says once
	told := place.ReplaceAllString(string(readme), "")
	root := newRoot(&app{}, nil)
	seen := map[string]bool{}
	for _, m := range regexp.MustCompile(`(?m)^(?:exec|run|status \d+) halfpot (.*)$`).FindAllStringSubmatch(string(script), -1) {
		line := place.ReplaceAllString(m[1], "")
		c, _, err := root.Find(strings.Fields(line))
		if err != nil {
			t.Fatal(line, ": ", err)
		}
		seen[c.CommandPath()] = true
		for _, flag := range regexp.MustCompile(` --[a-z-]+`).FindAllString(line, -1) {
			seen[flag] = true
		}
	}
	if len(seen) < 30 {
		t.Errorf("the two weeks use %d commands and flags", len(seen))
	}
	for what := range seen {
		if !regexp.MustCompile(strings.TrimSpace(what) + `\b`).MatchString(told) {
			t.Errorf("the README does not show %s", what)
		}
	}
}
