package main

import (
	"github.com/spf13/cobra"

	"halfpot/cmd/halfpot/view"
	"halfpot/sql/server"
)

func (a *app) databaseCommand() *cobra.Command {
	return holder("database", "the database behind it: status, start, stop, path",
		`Halfpot keeps its data in PostgreSQL. With nothing set up it makes a private
database in your data folder (--home DIR puts it elsewhere), starts it when a
command needs it and leaves it running for the next one; only programs of yours
on this machine can reach it. To use a PostgreSQL of your own, give its URL with
--database or in DATABASE_URL, or set the usual PG variables; --database comes
first, then DATABASE_URL, then PGHOST and the like, then the private one.`,
		`  halfpot database status
  halfpot database stop                   let go of the memory it takes
  halfpot --home /tmp/trial database path`,
		a.databaseStatus(), a.databaseStart(), a.databaseStop(), a.databasePath())
}

// databaseRow is what is known about the database.
type databaseRow struct {
	Running bool   `json:"running" table:"running"`
	Private bool   `json:"private"`
	Where   string `json:"where" table:"where"`
	Version string `json:"version" table:"PostgreSQL"`
	Trouble string `json:"trouble" table:"trouble"`
	Folder  string `json:"folder"`
	Socket  string `json:"socket"`
	User    string `json:"user"`
	Log     string `json:"log"`
	PID     int    `json:"pid"`
	Moved   string `json:"moved"`
}

func (a *app) databaseStatus() *cobra.Command {
	return &cobra.Command{
		Use: "status", Short: "whether it runs and where it is; starts nothing",
		Long: `Says which database halfpot would use, whether it runs, where its files are and
how to look into it with psql. It starts and changes nothing.`,
		Example: "  halfpot database status\n  halfpot database status --format json",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			s, err := server.Look(c.Context(), a.serverOptions())
			if err != nil {
				return err
			}
			row := databaseRow{
				Running: s.Running,
				Private: s.Private,
				Where:   s.Where,
				Version: s.Version,
				Trouble: s.Trouble,
				Folder:  s.Folder,
				Socket:  s.Socket,
				User:    s.User,
				Log:     s.Log,
				PID:     s.PID,
				Moved:   s.Moved,
			}
			return a.showOne(row, func(page *view.Page) { showDatabase(page, s) })
		},
	}
}

func showDatabase(page *view.Page, s server.Status) {
	switch {
	case s.Trouble != "":
		page.Line("The database does not answer: %s", s.Trouble)
	case s.Running:
		page.Line("The database is running.")
	case !s.Made:
		page.Line("There is no database yet; the first command that needs it makes it.")
	default:
		page.Line("The database is not running; the next command starts it.")
	}
	if !s.Private {
		page.Line("It was given, by --database or the environment: %s", s.Where)
		return
	}
	page.Raw("  folder   " + s.Folder)
	if s.Moved != "" {
		page.Note("  (%s)", s.Moved)
	}
	page.Raw("  log      " + s.Log)
	if s.Programs != "" {
		page.Raw("  server   PostgreSQL " + s.Version + " in " + s.Programs)
	}
	if s.Running {
		page.Raw("  look in  psql -h " + s.Socket + " -U halfpot")
	}
}

func (a *app) databaseStart() *cobra.Command {
	return &cobra.Command{
		Use: "start", Short: "make it if need be, and start it",
		Long: `Makes the private database if there is none yet and starts it if it does not
run. No need to: every command does so by itself.`,
		Example: "  halfpot database start",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			db, err := server.Open(c.Context(), a.serverOptions())
			if err != nil {
				return err
			}
			return a.done(struct {
				Running bool   `json:"running"`
				Where   string `json:"where"`
			}{true, db.Where}, "The database is running: %s", db.Where)
		},
	}
}

func (a *app) databaseStop() *cobra.Command {
	return &cobra.Command{
		Use: "stop", Short: "stop it; nothing is lost",
		Long: `Stops the private database after it has written everything down. The next
command that needs it starts it again.`,
		Example: "  halfpot database stop",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			was, err := server.Stop(c.Context(), a.serverOptions())
			if err != nil {
				return err
			}
			said := "The database was not running."
			if was {
				said = "The database is stopped."
			}
			return a.done(struct {
				WasRunning bool `json:"was_running"`
			}{was}, "%s", said)
		},
	}
}

func (a *app) databasePath() *cobra.Command {
	return &cobra.Command{
		Use: "path", Short: "the folder the private database lives in",
		Long:    "Prints the folder of the private database, made or not, and nothing else.",
		Example: "  halfpot database path",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			dir, err := server.Path(a.serverOptions())
			if err != nil {
				return err
			}
			return a.showOne(struct {
				Folder string `json:"folder"`
			}{dir}, func(page *view.Page) { page.Raw(dir) })
		},
	}
}

// serverOptions say which database the global flags ask for. A flag beats the
// environment: --database, then --demo and --home, then DATABASE_URL and the PG
// variables, then the usual place.
func (a *app) serverOptions() server.Options {
	home := a.homeFolder()
	return server.Options{URL: a.database, Home: home, Private: home != "" && a.database == "",
		Announce: func(step string) { a.note("%s", step) }}
}

// homeFolder is the folder the flags ask for, "" for the usual place.
func (a *app) homeFolder() string {
	if a.home == "" && a.demo {
		return demoHome()
	}
	return a.home
}
