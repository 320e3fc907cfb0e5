// Package web serves the desk as one local page: a JSON interface over package desk, one
// stream of events, and the built page itself, all from the one binary.
//
// It listens on loopback unless told otherwise; beyond it only with a pass-phrase. What
// another site's page could do to a desk on this machine is refused: see guard.go.
//
// The page is built from ui/ by ui/build.sh into dist/, which is committed.
package web
