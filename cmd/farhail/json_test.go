package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
)

// A path names values inside the JSON on standard output: keys and indices parted by
// dots, * for each of a list, len for the length of one, nothing or . for the whole. Lines
// of JSON count as a list.
//
//	calls.0.fallbacks.len   hours.*.frequencies.*.mhz   .

// values returns what a path names.
func values(ts *script, path string) []any {
	d := json.NewDecoder(strings.NewReader(ts.ReadFile("stdout")))
	var docs []any
	for {
		var v any
		err := d.Decode(&v)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			ts.Fatalf("standard output is not JSON: %v", err)
		}
		docs = append(docs, v)
	}
	var at []any
	if len(docs) == 1 {
		at = docs
	} else {
		at = []any{docs}
	}
	for _, step := range strings.FieldsFunc(path, func(r rune) bool { return r == '.' }) {
		var next []any
		for _, v := range at {
			got, err := into(v, step)
			if err != nil {
				ts.Fatalf("%s: %v", path, err)
			}
			next = append(next, got...)
		}
		at = next
	}
	if len(at) == 0 {
		ts.Fatalf("%s: there is none", path)
	}
	return at
}

func into(v any, step string) ([]any, error) {
	switch v := v.(type) {
	case map[string]any:
		x, ok := v[step]
		if !ok {
			return nil, fmt.Errorf("no key %q", step)
		}
		return []any{x}, nil
	case []any:
		if step == "*" {
			return v, nil
		}
		if step == "len" {
			return []any{float64(len(v))}, nil
		}
		i, err := strconv.Atoi(step)
		if err != nil || i < 0 || i >= len(v) {
			return nil, fmt.Errorf("no element %q in a list of %d", step, len(v))
		}
		return v[i : i+1], nil
	}
	return nil, fmt.Errorf("nothing is inside %v", v)
}

// keys PATH KEY…: the objects have exactly these keys; one with a question mark may be
// absent.
func keys(ts *script, args []string) { objects(ts, args, true) }

// has PATH KEY…: the objects have at least these keys.
func has(ts *script, args []string) { objects(ts, args, false) }

func objects(ts *script, args []string, exactly bool) {
	for _, v := range values(ts, args[0]) {
		o, ok := v.(map[string]any)
		if !ok {
			ts.Fatalf("%s is %v, not an object", args[0], v)
		}
		var known []string
		for _, k := range args[1:] {
			k, may := strings.CutSuffix(k, "?")
			known = append(known, k)
			if _, ok := o[k]; !ok && !may {
				ts.Fatalf("%s has no key %q", args[0], k)
			}
		}
		for k := range o {
			if exactly && !slices.Contains(known, k) {
				ts.Fatalf("%s has the key %q, which nobody asked for", args[0], k)
			}
		}
	}
}

// num PATH OP NUMBER: each value compares so; with "null" as a value it fails.
func num(ts *script, args []string) {
	want, err := strconv.ParseFloat(args[2], 64)
	ts.Check(err)
	for _, v := range values(ts, args[0]) {
		got, ok := v.(float64)
		if !ok {
			ts.Fatalf("%s is %v, not a number", args[0], v)
		}
		holds, ok := map[string]bool{"==": got == want, "!=": got != want, "<": got < want, "<=": got <= want, ">": got > want, ">=": got >= want}[args[1]]
		if !ok {
			ts.Fatalf("no comparison %q", args[1])
		}
		if !holds {
			ts.Fatalf("%s is %v, want %s %s", args[0], got, args[1], args[2])
		}
	}
}

// is PATH TEXT: each value, written as JSON writes it but for the quotes, is the text.
func is(ts *script, args []string) { oneof(ts, args[:2]) }

// oneof PATH TEXT…: each value is one of the texts.
func oneof(ts *script, args []string) {
	for _, v := range values(ts, args[0]) {
		got, ok := v.(string)
		if !ok {
			b, err := json.Marshal(v)
			ts.Check(err)
			got = string(b)
		}
		if !slices.Contains(args[1:], got) {
			ts.Fatalf("%s is %s, want %s", args[0], got, strings.Join(args[1:], " or "))
		}
	}
}
