package report

import (
	"fmt"
	"net/url"
	"strings"
	"unicode"
)

// A Target is where a Cell.Link leads: to a part of the document, or to a file
// beside it.
type Target struct {
	Section string // inside the document: the section's ID
	Part    string // inside the document: the ID of a table or figure of that section; empty for the section itself
	Path    string // a file: relative path with / between folders; empty for a part of the document
	Place   string // a file: the place inside it, for example "2024!B5"; may be empty
}

// Inside reports whether the target is a part of the document.
func (t Target) Inside() bool { return t.Path == "" }

// Anchor is the name of a target inside the document: "section" or "section/part".
func (t Target) Anchor() string {
	if t.Part == "" {
		return t.Section
	}
	return t.Section + "/" + t.Part
}

// URL is the path of a file target as a relative reference, escaped, without the place.
func (t Target) URL() string {
	parts := strings.Split(t.Path, "/")
	for i, p := range parts {
		parts[i] = url.PathEscape(p)
	}
	u := strings.Join(parts, "/")
	if strings.Contains(parts[0], ":") { // RFC 3986, 4.2: else the first part would read as a scheme
		u = "./" + u
	}
	return u
}

// ParseLink reads a Cell.Link. Two forms are allowed: "#section" or
// "#section/part" inside the document, and a relative file path with / between
// folders, which may end in "#SHEET!CELL" to name a cell of a workbook. Web
// addresses, absolute paths, backslashes and control characters are refused, so
// that text from a log can never lead out of the club's folder structure by
// scheme or by root.
func ParseLink(link string) (Target, error) {
	switch {
	case link == "":
		return Target{}, fmt.Errorf("report: empty link")
	case strings.ContainsFunc(link, func(r rune) bool { return unicode.IsControl(r) || r == unicode.ReplacementChar }):
		return Target{}, fmt.Errorf("report: link %q holds a control character", link)
	case strings.HasPrefix(link, "#"):
		section, part, _ := strings.Cut(link[1:], "/")
		if !isID(section) || (part != "" && !isID(part)) {
			return Target{}, fmt.Errorf("report: link %q names no part of a document: want #section or #section/part", link)
		}
		return Target{Section: section, Part: part}, nil
	}
	t := Target{Path: link}
	if i := strings.LastIndexByte(link, '#'); i > 0 && strings.Contains(link[i:], "!") {
		t.Path, t.Place = link[:i], link[i+1:]
	}
	if strings.HasPrefix(t.Path, "/") || strings.Contains(t.Path, "\\") || hasScheme(t.Path) {
		return Target{}, fmt.Errorf("report: link %q is not a relative file path with / between folders", link)
	}
	return t, nil
}

// hasScheme reports whether a path begins like a web address or a drive
// ("https:", "C:"). A colon later on, as in "logs/10:30.csv", is only a character.
func hasScheme(path string) bool {
	first, _, _ := strings.Cut(path, "/")
	scheme, _, found := strings.Cut(first, ":")
	if !found || scheme == "" {
		return found
	}
	for i, r := range scheme {
		letter := r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z'
		if !letter && (i == 0 || !strings.ContainsRune("0123456789+-.", r)) {
			return false
		}
	}
	return true
}

// isID reports whether s can be the ID of a section, table or figure: lower-case
// letters, digits, hyphens and underscores, beginning with a letter or digit.
func isID(s string) bool {
	for i, r := range s {
		letter := r >= 'a' && r <= 'z' || r >= '0' && r <= '9'
		if !letter && (i == 0 || r != '-' && r != '_') {
			return false
		}
	}
	return s != ""
}
