package server

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// archive packs programs as the library expects them: a tar.xz within a zip.
// They are scripts that call the ones this machine has.
func archive(t *testing.T) []byte {
	t.Helper()
	if _, err := exec.LookPath("xz"); err != nil {
		if os.Getenv("HALFPOT_LONG") != "" {
			t.Fatal("needs xz to pack an archive")
		}
		t.Skip("needs xz to pack an archive")
	}
	here := usualPlaces().find(t.Context(), owner{})
	if len(here) == 0 {
		t.Fatal(errNoPrograms(false))
	}
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "bin"), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"initdb", "pg_ctl", "postgres"} {
		script := fmt.Sprintf("#!/bin/sh\nexec '%s' \"$@\"\n", here[0].path(name))
		if err := writeProgram(filepath.Join(dir, "bin", name), []byte(script)); err != nil {
			t.Fatal(err)
		}
	}
	if out, err := exec.Command("tar", "-C", dir, "-cJf", filepath.Join(dir, "all.txz"), "bin/initdb",
		"bin/pg_ctl", "bin/postgres").CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	packed, err := os.ReadFile(filepath.Join(dir, "all.txz"))
	if err != nil {
		t.Fatal(err)
	}
	var jar bytes.Buffer
	z := zip.NewWriter(&jar)
	w, err := z.Create("all.txz")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := w.Write(packed); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return jar.Bytes()
}

// shopOf serves an archive and its checksum, and counts what is asked for.
func shopOf(t *testing.T, jar []byte, asked *int) string {
	t.Helper()
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		*asked++
		switch {
		case jar == nil:
			http.NotFound(w, r)
		case strings.HasSuffix(r.URL.Path, ".sha256"):
			sum := sha256.Sum256(jar)
			fmt.Fprint(w, hex.EncodeToString(sum[:]))
		default:
			_, _ = w.Write(jar)
		}
	}))
	t.Cleanup(s.Close)
	return s.URL
}

func TestFetchedProgramsServe(t *testing.T) {
	if !canFetch() {
		t.Skip("there are no ready-made programs for this system")
	}
	asked := 0
	opt := private(home(t))
	temporary := t.TempDir()
	if err := os.Chmod(filepath.Dir(temporary), 0o711); err != nil { // as /tmp is open to the server's user
		t.Fatal(err)
	}
	if err := os.Chmod(temporary, 0o777); err != nil {
		t.Fatal(err)
	}
	t.Setenv("TMPDIR", temporary)
	opt.search = &search{} // nothing on this machine
	opt.fetchFrom = shopOf(t, archive(t), &asked)
	_, err := Open(t.Context(), opt)
	mustBeWords(t, err, fetchVariable+"=yes")
	if asked != 0 {
		t.Error("downloaded without leave")
	}
	var said []string
	opt.Announce = func(s string) { said = append(said, s) }
	opt.Fetch = true
	mustOpen(t, opt)
	if asked == 0 || len(said) == 0 || !strings.Contains(said[0], "downloading") {
		t.Errorf("asked %d times, announced %q", asked, said)
	}
	asked = 0
	opt.Fetch = false // what is there serves on
	mustOpen(t, opt)
	if s, err := Look(t.Context(), opt); err != nil || !strings.HasPrefix(s.Programs, s.Folder) {
		t.Errorf("status %+v, %v", s, err)
	}
	if asked != 0 {
		t.Error("downloaded again")
	}
	if left, err := os.ReadDir(temporary); err != nil || len(left) > 0 {
		t.Errorf("left in the temporary folder: %v, %v", left, err)
	}
}

func TestFetchThatFailsNamesTheWaysOut(t *testing.T) {
	if !canFetch() {
		t.Skip("there are no ready-made programs for this system")
	}
	asked := 0
	opt := private(home(t))
	opt.search, opt.Fetch, opt.fetchFrom = &search{}, true, shopOf(t, nil, &asked)
	_, err := Open(t.Context(), opt)
	mustBeWords(t, err, "could not be downloaded", "package manager", "docker compose", "--database")
	if half, _ := filepath.Glob(filepath.Join(opt.Home, "database", makingPrefix+"*")); len(half) > 0 {
		t.Errorf("left behind: %v", half)
	}
}
