package servertest

import (
	"context"
	"errors"
	"fmt"
	"io"
	"maps"
	"net"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgproto3"
)

// Kept is New for tests that run one short command after the other: behind the
// URL stands a porter that keeps the server's side of a connection whose client
// said goodbye, and gives it, all its state discarded, to the next client. A new
// connection costs the server more than most commands' own statements, since it
// reads the catalogue anew. What is about connections themselves takes New.
func Kept(t testing.TB) string {
	t.Helper()
	url := New(t)
	porter.once.Do(func() { porter.err = porter.open(filepath.Join(run.dir, "porter")) })
	if porter.err != nil {
		t.Fatal(porter.err)
	}
	name := databaseOf(url)
	t.Cleanup(func() { porter.forget(name) })
	return strings.Replace(url, run.socket(), porter.dir, 1)
}

// porter keeps the connections that nobody uses at the moment.
var porter lodge

type lodge struct {
	once sync.Once
	err  error
	dir  string

	mu   sync.Mutex
	idle map[string][]*pgconn.HijackedConn // by what a client says of itself
}

func (p *lodge) open(dir string) error {
	p.dir, p.idle = dir, map[string][]*pgconn.HijackedConn{}
	if err := os.Mkdir(dir, 0o755); err != nil {
		return err
	}
	at, err := net.Listen("unix", filepath.Join(dir, filepath.Base(run.socketFile())))
	if err != nil {
		return err
	}
	go func() {
		for {
			client, err := at.Accept()
			if err != nil {
				return // the tests end
			}
			go p.serve(client)
		}
	}()
	return os.Chmod(at.Addr().String(), 0o777)
}

// forget closes what is kept for a database.
func (p *lodge) forget(database string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for who, conns := range p.idle {
		if strings.Contains(who, fmt.Sprintf("database=%q", database)) {
			for _, c := range conns {
				_ = c.Conn.Close()
			}
			delete(p.idle, who)
		}
	}
}

// serve stands between one client and the server.
func (p *lodge) serve(client net.Conn) {
	defer client.Close()
	talk := pgproto3.NewBackend(client, client)
	first, err := talk.ReceiveStartupMessage()
	if err != nil {
		return
	}
	switch first := first.(type) {
	case *pgproto3.CancelRequest:
		p.cancel(first)
	case *pgproto3.StartupMessage:
		who := ""
		for _, key := range slices.Sorted(maps.Keys(first.Parameters)) {
			who += fmt.Sprintf("%s=%q ", key, first.Parameters[key])
		}
		conn, err := p.take(who, first.Parameters)
		if err != nil {
			said := &pgproto3.ErrorResponse{Severity: "FATAL", Code: "08006", Message: err.Error()}
			if pg, ok := errors.AsType[*pgconn.PgError](err); ok {
				said.Code, said.Message = pg.Code, pg.Message
			}
			talk.Send(said)
			_ = talk.Flush()
			return
		}
		talk.Send(&pgproto3.AuthenticationOk{})
		for name, value := range conn.ParameterStatuses {
			talk.Send(&pgproto3.ParameterStatus{Name: name, Value: value})
		}
		talk.Send(&pgproto3.BackendKeyData{ProcessID: conn.PID, SecretKey: conn.SecretKey})
		talk.Send(&pgproto3.ReadyForQuery{TxStatus: 'I'})
		if talk.Flush() != nil || !carry(client, conn.Conn) || !cleared(conn) {
			_ = conn.Conn.Close()
			return
		}
		p.mu.Lock()
		defer p.mu.Unlock()
		p.idle[who] = append(p.idle[who], conn)
	}
}

func (p *lodge) take(who string, params map[string]string) (*pgconn.HijackedConn, error) {
	p.mu.Lock()
	if conns := p.idle[who]; len(conns) > 0 {
		conn := conns[len(conns)-1]
		p.idle[who] = conns[:len(conns)-1]
		p.mu.Unlock()
		return conn, nil
	}
	p.mu.Unlock()
	conf, err := pgconn.ParseConfig(withDatabase(run.url, params["database"]))
	if err != nil {
		return nil, err
	}
	conf.User, conf.RuntimeParams = params["user"], maps.Clone(params)
	delete(conf.RuntimeParams, "user")
	delete(conf.RuntimeParams, "database")
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	conn, err := pgconn.ConnectConfig(ctx, conf)
	if err != nil {
		return nil, err
	}
	return conn.Hijack()
}

func (p *lodge) cancel(request *pgproto3.CancelRequest) {
	conn, err := net.Dial("unix", run.socketFile())
	if err != nil {
		return
	}
	defer conn.Close()
	bytes, err := request.Encode(nil)
	if err == nil {
		_, _ = conn.Write(bytes)
		_, _ = io.Copy(io.Discard, conn) // ends once the server has seen to it
	}
}

// carry passes messages on both ways until the client says goodbye, and tells
// whether it did: one that is killed just falls silent.
func carry(client, server net.Conn) (goodbye bool) {
	back := make(chan struct{})
	go func() {
		defer close(back)
		_, _ = io.Copy(client, server) // ends by the deadline below, or as the server ends
		_ = client.SetReadDeadline(time.Unix(1, 0))
	}()
	const terminate = 'X'
	head := make([]byte, 5)
	for {
		if _, err := io.ReadFull(client, head); err != nil {
			break
		}
		if head[0] == terminate {
			goodbye = true
			break
		}
		length := int64(head[1])<<24 | int64(head[2])<<16 | int64(head[3])<<8 | int64(head[4])
		if _, err := server.Write(head); err != nil {
			break
		}
		if _, err := io.CopyN(server, client, length-4); err != nil {
			break
		}
	}
	_ = server.SetReadDeadline(time.Unix(1, 0))
	<-back
	return goodbye && server.SetReadDeadline(time.Time{}) == nil
}

// cleared makes a connection like a new one. One within a transaction refuses.
func cleared(conn *pgconn.HijackedConn) bool {
	_ = conn.Conn.SetDeadline(time.Now().Add(10 * time.Second))
	talk := pgproto3.NewFrontend(conn.Conn, conn.Conn)
	talk.Send(&pgproto3.Query{String: discardAll})
	if talk.Flush() != nil {
		return false
	}
	for {
		msg, err := talk.Receive()
		if err != nil {
			return false
		}
		switch msg := msg.(type) {
		case *pgproto3.ErrorResponse:
			return false
		case *pgproto3.ReadyForQuery:
			return msg.TxStatus == 'I' && conn.Conn.SetDeadline(time.Time{}) == nil
		}
	}
}
