package main

import (
	"strings"

	"charm.land/lipgloss/v2"
)

// The ribbon in characters: a column is 8 px of its layout, a row 16. Shades tell the
// chance that the sky carries; bars and tides swell in eighths of a row with the chance
// to connect.
const (
	cellWide, cellHigh = 8.0, 16.0
	swelling           = "▁▂▃▄▅▆▇█"
)

// Kinds of ink; all of them read without colour.
type pencil int

const (
	plainInk pencil = iota
	faintInk
	boldInk
	seaInk    // italic: sky and forecast
	deepInk   // chance
	planInk   // what to do
	stringInk // in which order
	cursorInk
)

var pencils = [...]lipgloss.Style{
	plainInk:  lipgloss.NewStyle(),
	faintInk:  lipgloss.NewStyle().Faint(true),
	boldInk:   lipgloss.NewStyle().Bold(true),
	seaInk:    lipgloss.NewStyle().Italic(true),
	deepInk:   lipgloss.NewStyle().Foreground(lipgloss.Cyan),
	planInk:   lipgloss.NewStyle().Bold(true).Reverse(true).Foreground(lipgloss.Magenta),
	stringInk: lipgloss.NewStyle().Bold(true).Foreground(lipgloss.Magenta),
	cursorInk: lipgloss.NewStyle().Bold(true).Reverse(true),
}

// A sheet is a grid of characters.
type sheet struct {
	rows [][]rune
	inks [][]pencil
	hard [][]bool // written: words give way to it
}

func newSheet(w, h int) *sheet {
	s := &sheet{}
	for range h {
		s.rows = append(s.rows, []rune(strings.Repeat(" ", w)))
		s.inks = append(s.inks, make([]pencil, w))
		s.hard = append(s.hard, make([]bool, w))
	}
	return s
}

func (s *sheet) has(x, y int) bool {
	return y >= 0 && y < len(s.rows) && x >= 0 && x < len(s.rows[y])
}

func (s *sheet) put(x, y int, r rune, ink pencil) {
	if s.has(x, y) {
		s.rows[y][x], s.inks[y][x] = r, ink
	}
}

// write puts words down where nothing else has been written.
func (s *sheet) write(x, y int, ink pencil, words string) bool {
	rs := []rune(words)
	for i := range rs {
		if !s.has(x+i, y) || s.hard[y][x+i] {
			return false
		}
	}
	for i, r := range rs {
		s.put(x+i, y, r, ink)
		s.hard[y][x+i] = true
	}
	return true
}

// lines renders the sheet, a style for each stretch of equal ink.
func (s *sheet) lines() []string {
	out := make([]string, len(s.rows))
	for y, row := range s.rows {
		var b strings.Builder
		for x := 0; x < len(row); {
			end := x
			for end < len(row) && s.inks[y][end] == s.inks[y][x] {
				end++
			}
			b.WriteString(pencils[s.inks[y][x]].Render(string(row[x:end])))
			x = end
		}
		out[y] = b.String()
	}
	return out
}
