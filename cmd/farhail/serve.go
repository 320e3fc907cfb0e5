package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"runtime"

	"github.com/spf13/cobra"

	"farhail/desk"
	"farhail/web"
)

// addWeb adds the page: a command of its own, and a flag of the demo.
func (s *shell) addWeb(root *cobra.Command) {
	root.AddCommand(s.serve())
	demo, _, err := root.Find([]string{"demo"})
	if err != nil {
		panic("farhail: no demo to show on a page: " + err.Error())
	}
	show, print := false, demo.RunE
	demo.Flags().BoolVar(&show, "web", false, "show it on a page instead of printing it")
	var o web.Options
	var open bool
	demo.Flags().StringVar(&o.Listen, "listen", "", "with --web: `address` of the page (default a free port on loopback)")
	demo.Flags().BoolVar(&open, "open", false, "with --web: open it in the browser")
	demo.RunE = func(c *cobra.Command, args []string) error {
		if !show {
			return print(c, args)
		}
		d, a, err := desk.MakeDemo(c.Context(), c.Flag("world").Value.String(), c.Flag("into").Value.String())
		if err != nil {
			return err
		}
		if err := d.Close(); err != nil {
			return err
		}
		o.Dir = a.Dir
		return s.show(c.Context(), o, open)
	}
}

func (s *shell) serve() *cobra.Command {
	var o web.Options
	var open bool
	phrase := ""
	c := &cobra.Command{
		Use:   "serve",
		Short: "the desk as a page in the browser",
		Long: `Serves one local page from this binary until interrupted, and prints its address as one
line. Nothing is fetched from anywhere else. It listens on this machine alone; to reach
it from a phone aboard, name an address of this machine and a file with a pass-phrase.
The pass-phrase crosses your own network unencrypted: use one made for this alone.`,
		Example: `  farhail serve --open
  farhail serve --listen 192.168.8.10:8400 --passphrase-file phrase.txt`,
		Args: cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			var err error
			if o.Dir, err = s.folder(); err != nil {
				return err
			}
			if phrase != "" {
				b, err := os.ReadFile(phrase)
				if err != nil {
					return fmt.Errorf("read pass-phrase: %w", err)
				}
				o.PassPhrase = string(bytes.TrimSpace(b))
			}
			return s.show(c.Context(), o, open)
		},
	}
	c.Flags().StringVar(&o.Listen, "listen", "", "`address` to listen on (default a free port on loopback)")
	c.Flags().StringVar(&phrase, "passphrase-file", "", "`file` with the pass-phrase, needed beyond loopback")
	c.Flags().BoolVar(&open, "open", false, "open the page in the browser")
	return c
}

// show serves a folder until interrupted.
func (s *shell) show(ctx context.Context, o web.Options, open bool) error {
	w, err := web.New(ctx, o)
	if err != nil {
		return err
	}
	if err := s.print(map[string]string{"address": w.Address()}, func(out io.Writer) { fmt.Fprintln(out, w.Address()) }); err != nil {
		return err
	}
	if open {
		if err := browse(w.Address()); err != nil {
			fmt.Fprintf(s.stderr, "farhail: no browser could be opened: %v\n", err)
		}
	}
	return w.Run(ctx)
}

// browse asks the system to open an address.
func browse(address string) error {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	return exec.Command(name, args...).Start()
}
