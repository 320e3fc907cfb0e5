package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"farhail/desk"
)

func (s *shell) traffic() *cobra.Command {
	c := &cobra.Command{
		Use:   "traffic",
		Short: "the messages that wait",
		Args:  cobra.NoArgs,
		RunE:  func(c *cobra.Command, _ []string) error { return s.listTraffic(c, nil) },
	}
	var precedence, deadline string
	add := &cobra.Command{
		Use:   "add FILE|FOLDER|-…",
		Short: "queue mail: .eml files, an mbox, a Maildir, or standard input",
		Long: `Reads RFC 5322 mail and queues what is new. The original is kept octet for octet; the
size on the air is measured by compressing it. Precedence and deadline come from the
flags, else from the home file's rules, else from the mail's header, else routine.`,
		Args: cobra.MinimumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return s.with(c.Context(), func(d *desk.Desk) error {
				a, err := d.AddTraffic(c.Context(), args, s.stdin, precedence, deadline)
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) {
					for _, x := range a {
						switch {
						case x.New:
							fmt.Fprintf(w, "queued %s  %s, %.1f kB on the air (%.1f to %.1f): %s\n", x.ID, x.Precedence, x.BytesOnAir.KB(), float64(x.BytesLow)/1000, float64(x.BytesHigh)/1000, x.Subject)
						case x.Requeued:
							fmt.Fprintf(w, "queued %s again: it had been dropped\n", x.Same)
						default:
							fmt.Fprintf(w, "known  %s: the same content as %s\n", x.Source, x.Same)
						}
						for _, y := range x.Warnings {
							fmt.Fprintf(w, "       note: %s\n", y)
						}
					}
				})
			})
		},
	}
	add.Flags().StringVar(&precedence, "precedence", "", "flash, immediate, priority or routine")
	add.Flags().StringVar(&deadline, "deadline", "", "a `time` in UTC, or a span like \"6 h\"")

	var states string
	list := &cobra.Command{
		Use:   "list",
		Short: "messages in order of sending",
		Args:  cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			var want []string
			if states != "" {
				want = strings.Split(states, ",")
			}
			return s.listTraffic(c, want)
		},
	}
	list.Flags().StringVar(&states, "state", "", "queued, held, delivered, dropped or all (default queued and held)")

	show := &cobra.Command{
		Use:   "show ID",
		Short: "one message: header, attachments, text",
		Args:  cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			return s.with(c.Context(), func(d *desk.Desk) error {
				a, err := d.ShowTraffic(c.Context(), args[0])
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) {
					fmt.Fprintf(w, "id          %s\nstate       %s\nprecedence  %s\n", a.ID, a.State, a.Precedence)
					if a.Deadline != nil {
						fmt.Fprintf(w, "deadline    %s\n", a.Deadline.Format("2006-01-02 15:04Z"))
					}
					fmt.Fprintf(w, "on the air  %.1f kB (%.1f to %.1f)\nfrom        %s\nto          %s\nsubject     %s\n", a.BytesOnAir.KB(), a.BytesLow.KB(), a.BytesHigh.KB(),
						strings.Join(a.From, ", "), strings.Join(a.To, ", "), a.Subject)
					for _, x := range a.Attachments {
						fmt.Fprintf(w, "attachment  %s, %s, %.1f kB\n", x.Name, x.Type, x.Bytes.KB())
					}
					for _, x := range a.Warnings {
						fmt.Fprintln(w, "note:", x)
					}
					fmt.Fprintf(w, "\n%s\n", strings.TrimRight(printable(a.Text), "\n"))
				})
			})
		},
	}
	c.AddCommand(add, list, show, s.picture())
	for _, v := range []struct{ use, state, short string }{
		{"hold", "held", "keep messages back until they are released"},
		{"release", "queued", "put held or dropped messages back into the queue"},
		{"drop", "dropped", "take messages out of the queue; the originals are kept"},
	} {
		c.AddCommand(&cobra.Command{
			Use:   v.use + " ID…",
			Short: v.short,
			Args:  cobra.MinimumNArgs(1),
			RunE: func(c *cobra.Command, args []string) error {
				return s.with(c.Context(), func(d *desk.Desk) error {
					a, err := d.SetTraffic(c.Context(), v.state, args)
					if err != nil {
						return err
					}
					return s.print(a, func(w io.Writer) {
						for _, l := range a {
							fmt.Fprintf(w, "%s %s: %s\n", l.State, l.ID, l.Subject)
						}
					})
				})
			},
		})
	}
	var p, dl string
	set := &cobra.Command{
		Use:   "set ID",
		Short: "change precedence or deadline",
		Args:  cobra.ExactArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			if p == "" && dl == "" {
				return &desk.UsageError{Problem: "nothing to change: give --precedence or --deadline", Command: c.CommandPath()}
			}
			return s.with(c.Context(), func(d *desk.Desk) error {
				l, err := d.SetUrgency(c.Context(), args[0], p, dl)
				if err != nil {
					return err
				}
				return s.print(l, func(w io.Writer) { fmt.Fprintf(w, "%s %s: %s\n", l.Precedence, l.ID, l.Subject) })
			})
		},
	}
	set.Flags().StringVar(&p, "precedence", "", "flash, immediate, priority or routine")
	set.Flags().StringVar(&dl, "deadline", "", "a `time` in UTC, a span like \"6 h\", or none")
	c.AddCommand(set, s.move(), s.byRule())
	return c
}

// move puts a message at another place within its precedence.
func (s *shell) move() *cobra.Command {
	var before, after string
	var first, last, undo bool
	c := &cobra.Command{
		Use:   "move ID",
		Short: "put a message at another place within its precedence",
		Long: `The plan sends in the order that farhail traffic list shows. Within a precedence that
is by rule (what is due first, then what is small, then what waited longest) until a
message is moved by hand; what is queued later still goes by the rule. Between two
precedences nothing moves: farhail traffic set gives a message another.`,
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error {
			var to [][2]string
			for _, w := range []struct {
				said         bool
				where, other string
			}{{before != "", "before", before}, {after != "", "after", after}, {first, "first", ""}, {last, "last", ""}} {
				if w.said {
					to = append(to, [2]string{w.where, w.other})
				}
			}
			switch {
			case undo && len(args)+len(to) > 0:
				return &desk.UsageError{Problem: "--undo takes the last move back and goes alone", Command: c.CommandPath()}
			case !undo && len(args) == 0:
				return &desk.UsageError{Problem: "which message? Give its id, or --undo", Command: c.CommandPath()}
			case !undo && len(to) != 1:
				return &desk.UsageError{Problem: "where to? Give one of --before ID, --after ID, --first, --last", Command: c.CommandPath()}
			}
			return s.with(c.Context(), func(d *desk.Desk) (err error) {
				var a []desk.Letter
				if undo {
					a, err = d.UndoOrder(c.Context())
				} else {
					a, err = d.MoveTraffic(c.Context(), args[0], to[0][0], to[0][1])
				}
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) { printLetters(w, a) })
			})
		},
	}
	c.Flags().StringVar(&before, "before", "", "ahead of the message of this `ID`")
	c.Flags().StringVar(&after, "after", "", "behind the message of this `ID`")
	c.Flags().BoolVar(&first, "first", false, "ahead of all of its precedence")
	c.Flags().BoolVar(&last, "last", false, "behind all of its precedence")
	c.Flags().BoolVar(&undo, "undo", false, "take the last move back, or the last by-rule")
	return c
}

func (s *shell) byRule() *cobra.Command {
	return &cobra.Command{
		Use:   "by-rule [PRECEDENCE…]",
		Short: "give the order made by hand back to the rule",
		RunE: func(c *cobra.Command, args []string) error {
			return s.with(c.Context(), func(d *desk.Desk) error {
				a, err := d.OrderByRule(c.Context(), args...)
				if err != nil {
					return err
				}
				return s.print(a, func(w io.Writer) { printLetters(w, a) })
			})
		},
	}
}

func (s *shell) listTraffic(c *cobra.Command, states []string) error {
	return s.with(c.Context(), func(d *desk.Desk) error {
		a, err := d.Traffic(c.Context(), states...)
		if err != nil {
			return err
		}
		return s.print(a, func(w io.Writer) { printLetters(w, a) })
	})
}

func printLetters(w io.Writer, a []desk.Letter) {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "id\tprecedence\tbytes_on_air\tdeadline\tstate\tattachments\tsubject")
	for _, l := range a {
		due, state := "–", l.State
		if l.Deadline != nil {
			due = l.Deadline.Format("Mon 15:04")
		}
		if l.Rank != 0 {
			state += ", by hand"
		}
		var names []string
		for _, x := range l.Attachments {
			names = append(names, x.Name)
		}
		fmt.Fprintf(t, "%s\t%s\t%d\t%s\t%s\t%s\t%s\n", l.ID, l.Precedence, l.BytesOnAir, due, state, strings.Join(names, ", "), printable(l.Subject))
	}
	t.Flush()
}

// printable keeps a stranger's text from steering the terminal.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '\n' || r == '\t' || r >= ' ' && r != 0x7f && !(r >= 0x80 && r < 0xa0) {
			return r
		}
		return '·'
	}, s)
}
