package main

import (
	"io"
	"net"
	"regexp"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"halfpot/sql/server/servertest"
)

// A connection costs the server more than most commands do: a command makes one.
func TestACommandConnectsOnce(t *testing.T) {
	t.Parallel()
	url := servertest.New(t)
	conf, err := pgconn.ParseConfig(url)
	if err != nil {
		t.Fatal(err)
	}
	network, address := pgconn.NetworkAddress(conf.Host, conf.Port)
	door, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer door.Close()
	var came atomic.Int64
	go func() {
		for {
			client, err := door.Accept()
			if err != nil {
				return // the test ends
			}
			came.Add(1)
			go func() {
				defer client.Close()
				server, err := net.Dial(network, address)
				if err != nil {
					return
				}
				defer server.Close()
				go func() { _, _ = io.Copy(client, server) }()
				_, _ = io.Copy(server, client)
			}()
		}
	}()
	host, port, err := net.SplitHostPort(door.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	d := &bench{t: t, now: time.Now}
	d.url = regexp.MustCompile(`host='[^']*' port=\d+`).ReplaceAllString(url, "host="+host+" port="+port)
	for _, c := range [][]string{
		{"add", "paint", "Bone", "--type", "base"},
		{"add", "pot", "bone", "--size", "17ml"},
		{"shelf"},
		{"pot", "judge", "bone", "half"},
	} {
		came.Store(0)
		d.must(c...)
		if n := came.Load(); n != 1 {
			t.Errorf("halfpot %s connects %d times", strings.Join(c, " "), n)
		}
	}
}
