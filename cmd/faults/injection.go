//go:build linux

package main

import (
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// The things that keepers write into an injected club. Each carries a word by
// which it is known again.
var (
	formulas = []string{
		`=HYPERLINK("http://evil.example/f1","see")`, `+1+cmd|' /C calc'!f2`, `-2+3+cmd|' /C calc'!f3`, `@SUM(1+1)*f4`, "\t=1+1+f5", "=f6()", `=IMPORTXML("http://evil.example/f7","//a")`,
	}
	markup = []string{
		`<script>alert('m1')</script>`, `"><img src=x onerror=alert('m2')>`, `</title></style><svg/onload=alert('m3')>`, `]]><m4/>`, `--><b>m5</b>`, `&lt;i&gt;m6`, `javascript:alert('m7')`, `' onmouseover='alert(1)m8`, `<iframe src="http://evil.example/m9"></iframe>`,
	}
	commands = []string{
		"\x1b]0;owned\x07t1", "\x1b[2Jt2", "\u009b31mt3", "safe\u202etxt.exe t4", "\u2066t5\u2069", "\u200ft6", "\u061ct7", "t8\rgravid: note: all is well", "t9\u2028gravid: note: all is well", "\x7ft10", "t11\ngravid: note: all is well",
	}
)

// injectedClub is a club in which every text that a keeper or the club's own
// settings can choose is one of those.
func injectedClub(d *dice, payloads []string) map[string]string {
	files := map[string]string{"logs/plain.csv": breedingLog(d, 30, "plain")}
	quoted := func(s string) string { return `"` + strings.ReplaceAll(s, `"`, `""`) + `"` }
	var unknown strings.Builder
	unknown.WriteString("keeper," + breedingHeadings)
	for i, p := range payloads {
		name := fileName(p)
		// A keeper, a tank and notes, over enough rows to be in the answers.
		log := strings.ReplaceAll(breedingLog(d, 8, quoted(p)), "\nT1,", "\n"+quoted(p)+",")
		log = strings.ReplaceAll(log, "\nT2,", "\n"+quoted(p+" two")+",")
		log = strings.Replace(log, ",notes\n", ","+quoted(p)+",notes\n", 1)
		log = strings.Replace(log, ","+quoted(p)+"\n", ",x,"+quoted(p)+"\n", -1)
		files[fmt.Sprintf("logs/%s/%s.csv", name, name)] = log
		fmt.Fprintf(&unknown, "%s,%s,%s,1,1,%s,%s,%s,%s,%s,%s,%s,%s,,,%s\n", quoted(p), quoted(p), quoted(p), quoted(p), quoted(p), quoted(p), quoted(p), quoted(p), quoted(p), quoted(p), quoted(p), quoted(fmt.Sprint(p, i)))
		fmt.Fprintf(&unknown, "%s,T1,%s,1,1,2024-03-%02d,2024-03-%02d,yes,2024-03-%02d,24.0,7.0,20,100,,,%s\n", quoted(p), fish, i+1, i+3, i+3, quoted(p))
	}
	files["logs/unknown.csv"] = unknown.String()
	var own strings.Builder
	fmt.Fprintf(&own, "name = %s\ntime_zone = \"Europe/Berlin\"\npseudonyms = false\n", tomlText(strings.Join(payloads, " ")))
	for i, p := range payloads {
		fmt.Fprintf(&own, "[[trigger]]\ncode = \"own-%d\"\nname = %s\nheadings = [%s]\nkind = \"yes-no\"\nwords = [%s]\ncaution = %s\n", i, tomlText(p), tomlText("own "+p), tomlText(p), tomlText(p))
	}
	files["club.toml"] = own.String()
	return files
}

// fileName makes a file name of a text: only the slash cannot be in one.
func fileName(s string) string { return strings.ReplaceAll(s, "/", "∕") }

// tomlText is a text as TOML writes it.
func tomlText(s string) string {
	var b strings.Builder
	for _, r := range s {
		if r < ' ' || r >= 0x7f || r == '"' || r == '\\' {
			fmt.Fprintf(&b, `\U%08X`, r)
		} else {
			b.WriteRune(r)
		}
	}
	return `"` + b.String() + `"`
}

func injection(b *bench) error {
	return b.inject(slices.Concat(formulas, markup, commands))
}

// inject makes a club of payloads and looks at all that is written of it.
func (b *bench) inject(payloads []string) error {
	const did = "wrote formulas, HTML, SVG, scripts, escape sequences, marks of writing direction and line breaks as names of keepers, tanks, fish, files and the club, as headings, values, notes and triggers of the club's own, and "
	club, err := b.folder("club")
	if err != nil {
		return err
	}
	if err := writeFiles(club, injectedClub(&b.dice, payloads)); err != nil {
		return err
	}
	made := b.try("read", did+"ran every verb", "the club is read, and no verb crashes or uses more than 500 MB")
	o, err := b.gravid("ingest", "--club", club)
	if err != nil {
		return err
	}
	made.mind("ingest", o.differs(want{status: []int{3}}))
	var all []surface
	for _, collect := range []func() ([]surface, error){
		func() ([]surface, error) { return b.said(made, club, append(keepingVerbs(), reportVerbs()...)) },
		func() ([]surface, error) { return b.documents(made, club) },
		func() ([]surface, error) { return b.exports(made, club) },
		func() ([]surface, error) { return b.problemsTable(made, club) },
		func() ([]surface, error) { return setAsideFiles(club) },
	} {
		some, err := collect()
		if err != nil {
			return err
		}
		all = append(all, some...)
	}
	rows, err := b.exported(club, "attempts")
	if err != nil {
		return err
	}
	there := 0
	for _, row := range rows {
		if row["source_file"] != "plain.csv" {
			there++
		}
	}
	if there < 5*len(payloads) {
		made.fault("only %d attempts came from the logs with payloads, so little can be told", there)
	}
	made.end("%d attempts with payloads, %d surfaces", there, len(all))
	b.holdSurfaces(did, all)
	return nil
}

// holdSurfaces looks at each kind of surface for what it must not hold.
func (b *bench) holdSurfaces(did string, all []surface) {
	for _, h := range []struct {
		kind     kind
		name     string
		expected string
		look     func(string) string
	}{
		{terminal, "text", "no character that acts on a terminal or turns the direction of writing", badText},
		{terminal, "lines", "no text of a keeper makes a line of its own that looks like the program's", forgedLine},
		{jsonText, "JSON", "sound JSON", badJSON},
		{csvText, "CSV", "no cell that begins like a formula and is no number", badCSV},
		{webPage, "page", "no script, no handler, no address outside, sound markup", badPage},
		{bookPart, "workbook", "no formula or address from a keeper, sound XML without forbidden characters", badPart},
	} {
		t := b.try(h.name, did+"looked at each surface of that kind", h.expected)
		n := 0
		for _, s := range all {
			if s.kind == h.kind {
				n++
				t.mind(s.name, h.look(s.text))
			}
		}
		if n == 0 {
			t.fault("there was nothing to look at")
		}
		t.end("%d surfaces", n)
	}
}

func (b *bench) problemsTable(t *trial, club string) ([]surface, error) {
	o, err := b.gravid("problems", "--club", club, "--format", "csv")
	t.mind("problems", o.differs(want{status: []int{0}}))
	return []surface{{"problems --format csv", csvText, o.stdout}}, err
}

func setAsideFiles(club string) ([]surface, error) {
	var out []surface
	err := filepath.WalkDir(filepath.Join(club, "set-aside"), func(name string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := os.ReadFile(name)
		out = append(out, surface{"set-aside file", csvText, string(content)})
		return err
	})
	return out, err
}

func forgedLine(s string) string {
	for line := range strings.Lines(s) {
		if strings.HasPrefix(line, "gravid: note: all is well") {
			return "a forged line: " + short(line, 80)
		}
	}
	return ""
}

func badJSON(s string) string {
	if strings.TrimSpace(s) == "" || json.Valid([]byte(s)) {
		return "" // a verb that failed says why on standard error
	}
	return "no sound JSON: " + short(s, 100)
}

func badCSV(s string) string {
	rows, err := csv.NewReader(strings.NewReader(s)).ReadAll()
	if err != nil {
		in := csv.NewReader(strings.NewReader(s))
		in.FieldsPerRecord = -1 // set-aside rows are as long as the keeper's were
		if rows, err = in.ReadAll(); err != nil {
			return err.Error()
		}
	}
	for _, row := range rows {
		for _, cell := range row {
			if cell == "" || !strings.ContainsAny(cell[:1], "=+-@\t\r\n") {
				continue
			}
			if _, err := strconv.ParseFloat(cell, 64); err != nil {
				return "a cell begins like a formula: " + short(cell, 60)
			}
		}
	}
	return ""
}

// badPage reads a page as markup. The page's own is written so that it can be read
// as XML, so whatever cannot has come from outside.
func badPage(s string) string {
	d := xml.NewDecoder(strings.NewReader(s))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	for {
		token, err := d.Token()
		if err == io.EOF {
			return ""
		}
		if err != nil {
			return "no sound markup: " + err.Error()
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		switch name := strings.ToLower(start.Name.Local); name {
		case "script", "iframe", "object", "embed", "img", "form", "base", "m4":
			return "the element <" + name + ">"
		}
		for _, a := range start.Attr {
			name, value := strings.ToLower(a.Name.Local), strings.ToLower(strings.TrimSpace(a.Value))
			if strings.HasPrefix(name, "on") {
				return "the handler " + name
			}
			if (name == "href" || name == "src" || name == "action") && outside(value) {
				return "the address " + short(value, 60)
			}
		}
	}
}

// outside tells whether an address leads away from the club or starts a script. The
// path to a log may hold what a keeper wrote, as long as it stays a path.
func outside(address string) bool {
	address = strings.ToLower(strings.TrimSpace(address))
	scheme, rest, found := strings.Cut(address, ":")
	return strings.HasPrefix(address, "//") || strings.HasPrefix(address, `\\`) ||
		found && !strings.ContainsAny(scheme, "/?#%") && (scheme == "javascript" || scheme == "data" || strings.Contains(rest, "evil.example"))
}

// badPart reads a part of a workbook: formulas may be the program's own only, and
// addresses too.
func badPart(s string) string {
	d := xml.NewDecoder(strings.NewReader(s))
	inside := ""
	for {
		token, err := d.Token()
		if err == io.EOF {
			return ""
		}
		if err != nil {
			return "no sound XML: " + err.Error()
		}
		switch x := token.(type) {
		case xml.StartElement:
			inside = x.Name.Local
			for _, a := range x.Attr {
				if a.Name.Local == "Target" && outside(a.Value) {
					return "the address " + short(a.Value, 60)
				}
			}
		case xml.EndElement:
			inside = ""
		case xml.CharData:
			if (inside == "f" || inside == "formula1" || inside == "definedName") && (strings.Contains(string(x), "cmd|") || strings.Contains(string(x), "evil.example") || strings.Contains(string(x), "f6()")) {
				return "the formula " + short(string(x), 60)
			}
			if what := badMarks(string(x)); what != "" {
				return what
			}
		}
	}
}

// badMarks finds what XML allows and no cell should hold: marks that turn the
// direction of writing.
func badMarks(s string) string {
	for i, r := range s {
		if r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			return fmt.Sprintf("%U after %s", r, tail(s[:i]))
		}
	}
	return ""
}
