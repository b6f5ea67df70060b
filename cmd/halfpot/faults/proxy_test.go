package faults

import (
	"bytes"
	"encoding/binary"
	"io"
	"net"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
)

// When a connection is cut, seen from the commit.
type moment int32

const (
	never      moment = iota
	before            // the commit never reaches the server
	after             // the server has it, and its answer does not come back
	afterReply        // part of the answer comes back
	silence           // nothing is cut, but no byte of the answer comes either, until it is
)

// proxy stands between the program and the server, and cuts the next connection
// that commits what it wrote.
type proxy struct {
	dir    string // of the socket, what the program takes as host
	server string // the real socket
	arm    atomic.Int32
	cuts   atomic.Int32
	mu     sync.Mutex
	open   []net.Conn
}

func newProxy(t *testing.T, dir, server string) *proxy {
	t.Helper()
	p := &proxy{dir: dir, server: server}
	l, err := net.Listen("unix", filepath.Join(dir, ".s.PGSQL.5432"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = l.Close()
		p.closeAll()
	})
	go func() {
		for {
			c, err := l.Accept()
			if err != nil {
				return
			}
			go p.serve(c)
		}
	}()
	return p
}

func (p *proxy) closeAll() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, c := range p.open {
		_ = c.Close()
	}
	p.open = nil
}

func (p *proxy) serve(client net.Conn) {
	upstream, err := net.Dial("unix", p.server)
	if err != nil {
		_ = client.Close()
		return
	}
	p.mu.Lock()
	p.open = append(p.open, client, upstream)
	p.mu.Unlock()
	cut := func() {
		_ = client.Close()
		_ = upstream.Close()
	}
	defer cut()
	var mode atomic.Int32 // of this connection, once it has committed
	done := make(chan struct{})
	go func() { // answers
		defer close(done)
		defer cut()
		buffer := make([]byte, 64<<10)
		for {
			n, err := upstream.Read(buffer)
			if err != nil {
				return
			}
			switch moment(mode.Load()) {
			case after:
				return
			case afterReply:
				_, _ = client.Write(buffer[:min(n, 3)])
				return
			case silence:
				continue
			}
			if _, err := client.Write(buffer[:n]); err != nil {
				return
			}
		}
	}()
	// Requests: the first has no type, the others a byte of it; all have a length.
	writes := false
	for first := true; ; first = false {
		message, err := readMessage(client, first)
		if err != nil {
			return
		}
		if !first && says(message, "begin") {
			writes = !says(message, "read only")
		}
		if !first && writes && says(message, "commit\x00") {
			if armed := moment(p.arm.Swap(int32(never))); armed != never {
				p.cuts.Add(1)
				if armed == before {
					return
				}
				mode.Store(int32(armed))
			}
		}
		if _, err := upstream.Write(message); err != nil {
			return
		}
		if m := moment(mode.Load()); m == after || m == afterReply {
			<-done // the server answers, so the commit is in
			return
		}
	}
}

func readMessage(r io.Reader, first bool) ([]byte, error) {
	head := make([]byte, 5)
	if first {
		head = head[:4]
	}
	if _, err := io.ReadFull(r, head); err != nil {
		return nil, err
	}
	length := binary.BigEndian.Uint32(head[len(head)-4:])
	rest := make([]byte, length-4)
	_, err := io.ReadFull(r, rest)
	return append(head, rest...), err
}

// says tells a simple query, or a statement to be prepared, with some words in it.
func says(message []byte, words string) bool {
	return (message[0] == 'Q' || message[0] == 'P') && bytes.Contains(bytes.ToLower(message[5:]), []byte(words))
}
