package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/google/uuid"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfpot/inventory"
	"halfpot/inventory/postgres"
)

// errUnchanged ends a change that found nothing to do.
var errUnchanged = errors.New("nothing to change")

// once gives a command that writes the flag by which it can be repeated without
// harm.
func (a *app) once(c *cobra.Command) {
	c.Flags().StringVar(&a.onceKey, "once", "", "`KEY`, a UUID of your own: with the same key the same command is done only once")
}

// change is how every command writes. f reads what the change rests on, makes
// it through tx and gives what shows the result; that is called when the change is
// safely kept. look is the command that tells whether it was, should that remain
// unknown.
func (a *app) change(
	c *cobra.Command,
	args []string,
	look string,
	f func(context.Context, *postgres.Tx) (show func() error, err error),
) error {
	ctx := c.Context()
	command := postgres.NewCommand(whatOf(c, args))
	if c.Flags().Changed("once") {
		key, err := uuid.Parse(a.onceKey)
		if err != nil || key == uuid.Nil {
			return usagef("--once %q: expected a UUID, like %s", a.onceKey, command.Key)
		}
		command.Key = key
	}
	store, err := a.store(ctx)
	if err != nil {
		return err
	}
	var show func() error
	err = store.Change(ctx, command, func(tx *postgres.Tx) (err error) {
		show, err = f(ctx, tx)
		return err
	})
	if errors.Is(err, errUnchanged) {
		return show()
	}
	if repeated, ok := errors.AsType[*postgres.RepeatedError](err); ok {
		return a.done(struct {
			Already bool   `json:"done_already"`
			At      string `json:"at"`
		}{true, repeated.At.Format("2006-01-02T15:04:05Z07:00")}, "Done already, on %s, with this key: "+
			"nothing was changed.", repeated.At.Format("2006-01-02 15:04"))
	}
	if unknown(err) {
		return hinted{
			fmt.Errorf("%w; to see, or to repeat it without doing it twice", err),
			[]string{look, command.What + " --once " + command.Key.String()},
		}
	}
	if err != nil {
		return err
	}
	a.stored = true
	return show()
}

// unknown tells an error that leaves open whether the change was written.
func unknown(err error) bool {
	e, ok := errors.AsType[*postgres.Error](err)
	return ok && e.Kind == postgres.Unknown
}

// whatOf is a command as it was typed, without what only says how and where.
func whatOf(c *cobra.Command, args []string) string {
	words := []string{c.CommandPath()}
	for _, a := range args {
		words = append(words, quoteWord(a))
	}
	c.LocalNonPersistentFlags().VisitAll(func(f *pflag.Flag) {
		switch list, many := f.Value.(pflag.SliceValue); {
		case !f.Changed || f.Name == "once":
		case many:
			for _, v := range list.GetSlice() {
				words = append(words, "--"+f.Name, quoteWord(v))
			}
		case f.NoOptDefVal != "":
			words = append(words, "--"+f.Name)
		default:
			words = append(words, "--"+f.Name, quoteWord(f.Value.String()))
		}
	})
	return strings.Join(words, " ")
}

// quoteWord writes a word so that a shell reads it as one.
func quoteWord(s string) string {
	if s != "" && !strings.ContainsFunc(s, func(r rune) bool {
		return !strings.ContainsRune("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_./=:,+%@",
			r)
	}) {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

// insert adds things by hand after looking at them together with what is stored,
// of which cat is the catalogue.
func (a *app) insert(ctx context.Context, tx *postgres.Tx, cat *inventory.Catalogue, l postgres.Load) error {
	if err := a.checkLoad(cat, l); err != nil {
		return err
	}
	_, err := tx.Insert(ctx, l)
	return err
}

// text is a text typed by hand, with the blanks at its ends taken off.
func text(flag, s string) (string, error) {
	s = inventory.CleanText(s)
	if found, expected, ok := inventory.CheckText(s); !ok {
		return "", usagef("%s: found %s, expected %s", flag, found, expected)
	}
	return s, nil
}

// texts is text for several at once.
func texts(fields map[string]*string) error {
	for flag, s := range fields {
		clean, err := text(flag, *s)
		if err != nil {
			return err
		}
		*s = clean
	}
	return nil
}
