package format

import "gravid/ingest/printable"

// Printable is s on one line and safe to show; see printable.Line.
func Printable(s string) string { return printable.Line(s) }
