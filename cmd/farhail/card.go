package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"

	"farhail/desk"
	"farhail/report"
)

// addPaper adds the two ways to look at a watch without a browser: on paper and in the
// terminal.
func (s *shell) addPaper(root *cobra.Command) {
	root.AddCommand(s.card(), s.watch())
}

// A cardAnswer is what `farhail card --json` prints.
type cardAnswer struct {
	File  string    `json:"file"`
	At    time.Time `json:"at"`
	Size  string    `json:"size"`
	Bytes int       `json:"bytes"`
}

func (s *shell) card() *cobra.Command {
	size, out := string(report.A5), ""
	var week []string
	c := &cobra.Command{
		Use:   "card",
		Short: "the watch on paper, for when the computer is off",
		Long: `Writes the card of the coming day as PDF: the calls with their bearings true and by
compass, fallbacks and boxes to tick; the ribbon; the windows of the week; lines for the
pencil. A5 is two pages; A4 is one page on its side, to be folded. Black and white. The
same plan gives the same bytes.`,
		Example: `  farhail card -o card.pdf
  farhail card --size a4 --week "Cabo Lume,Merrow Head" -o card.pdf
  farhail card -o - | lp`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			paper, err := desk.Paper("--size", size)
			if err != nil {
				return err
			}
			return s.withAt(c.Context(), func(d *desk.Desk, at time.Time) error {
				pdf, err := d.PrintCard(c.Context(), at, week, paper)
				if err != nil {
					return err
				}
				if out == "-" {
					if f, ok := s.stdout.(*os.File); ok && isatty.IsTerminal(f.Fd()) {
						return &desk.InputError{What: "-o -: a PDF is not for a terminal", Hint: "name a file, or pipe it on"}
					}
					_, err := s.stdout.Write(pdf)
					return err
				}
				if out == "" {
					out = fmt.Sprintf("card-%s-%s.pdf", fileName(d.Home.Name), at.UTC().Format("2006-01-02"))
				}
				if err := os.WriteFile(out, pdf, 0o644); err != nil {
					return fmt.Errorf("write card: %w", err)
				}
				return s.print(cardAnswer{out, at, size, len(pdf)}, func(w io.Writer) { fmt.Fprintln(w, "wrote", out) })
			})
		},
	}
	c.Flags().StringVar(&size, "size", size, "`paper`: a5 or a4")
	c.Flags().StringSliceVar(&week, "week", nil, "`stations` whose windows of the week are printed (default those of the plan, then the nearest)")
	c.Flags().StringVarP(&out, "output", "o", "", "`file` to write, - for standard output (default card-NAME-DATE.pdf here)")
	s.atFlag(c.Flags(), "a card for another `time`, UTC")
	return c
}

// fileName makes a name fit for a file.
func fileName(s string) string {
	return strings.Trim(strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, s), "-")
}
