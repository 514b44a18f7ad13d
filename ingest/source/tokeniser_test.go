package source

import (
	"fmt"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"gravid/ingest/problem"
)

// Row 8 of the list of hostile inputs: all line ends give the same rows.
func TestRow8LineEnds(t *testing.T) {
	want := [][]string{{"date", "eggs"}, {"2024-03-04", "12"}, {}, {"2024-03-05", "7"}}
	for name, text := range map[string]string{
		"LF":              "date;eggs\n2024-03-04;12\n\n2024-03-05;7\n",
		"CR LF":           "date;eggs\r\n2024-03-04;12\r\n\r\n2024-03-05;7\r\n",
		"CR":              "date;eggs\r2024-03-04;12\r\r2024-03-05;7\r",
		"no last":         "date;eggs\n2024-03-04;12\n\n2024-03-05;7",
		"no last, CR":     "date;eggs\r2024-03-04;12\r\r2024-03-05;7",
		"mixed":           "date;eggs\r2024-03-04;12\n\r\n2024-03-05;7\r",
		"mixed other way": "date;eggs\n2024-03-04;12\r\n\r2024-03-05;7\r\n",
	} {
		grid, problems := readText(t, text)
		require.Equal(t, want, textRows(grid), name)
		require.Equal(t, []int{1, 2, 3, 4}, rowNumbers(grid), name)
		require.Empty(t, problems, name)
	}
}

// Row 9: a "sep=" line is honoured, also against what the rows look like.
func TestRow9SeparatorLine(t *testing.T) {
	for first, text := range map[string]string{
		"sep=;\n":       "a,b;c\n1,5;2\n",
		"SEP=;\r\n":     "a,b;c\r\n1,5;2\r\n",
		"\"sep=;\"\r":   "a,b;c\r1,5;2\r",
		"\ufeffsep=;\n": "a,b;c\n1,5;2",
	} {
		grid, problems := readText(t, first+text)
		require.Equal(t, [][]string{{"a,b", "c"}, {"1,5", "2"}}, textRows(grid), "%q", first)
		require.Equal(t, []int{2, 3}, rowNumbers(grid), "%q", first)
		require.Equal(t, ";", grid.Delimiter)
		require.Empty(t, problems)
	}
	grid, _ := readText(t, "sep=x\na;b\n")
	require.Equal(t, [][]string{{"sep=x"}, {"a", "b"}}, textRows(grid), "a letter is no delimiter")
}

// Row 12: a stray or unclosed quotation mark spoils its own line and no other.
func TestRow12StrayQuotes(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want [][]string
		line int
	}{
		"never closed": {
			"date;notes;eggs\n1;\"laid on moss;12\n2;fine;7\n3;x;8\n",
			[][]string{{"date", "notes", "eggs"}, {"1", `"laid on moss`, "12"}, {"2", "fine", "7"}, {"3", "x", "8"}}, 2,
		},
		"closes into text": {
			"date;notes;eggs\n1;\"big\" male;12\n2;fine;7\n",
			[][]string{{"date", "notes", "eggs"}, {"1", `"big" male`, "12"}, {"2", "fine", "7"}}, 2,
		},
		"opens in the last cell": {
			"date;notes\n1;\"laid\n2;fine\n",
			[][]string{{"date", "notes"}, {"1", `"laid`}, {"2", "fine"}}, 2,
		},
		"pairs with another stray one": {
			"date;notes\n1;\"laid\n2;\"fine\n3;x\n",
			[][]string{{"date", "notes"}, {"1", `"laid`}, {"2", `"fine`}, {"3", "x"}}, 2,
		},
		"closes after more than twenty lines": {
			"a;\"b\n" + strings.Repeat("c;d\n", 20) + "e\";f\n",
			append(append([][]string{{"a", `"b`}}, slicesOf([]string{"c", "d"}, 20)...), []string{`e"`, "f"}), 1,
		},
		"at the end of the file": {"a;b\n\"", [][]string{{"a", "b"}, {`"`}}, 2},
	} {
		grid, problems := readText(t, c.text)
		require.Equal(t, c.want, textRows(grid), name)
		quotes := withCode(problems, problem.Quote)
		require.NotEmpty(t, quotes, name)
		require.Equal(t, c.line, quotes[0].Place.Row, name)
		require.Equal(t, problem.Warning, quotes[0].Severity, name)
		require.NotEmpty(t, quotes[0].Value, name)
	}
}

func slicesOf(row []string, n int) (rows [][]string) {
	for range n {
		rows = append(rows, row)
	}
	return rows
}

func TestManyStrayQuotesAreOneProblemInTheEnd(t *testing.T) {
	_, problems := readText(t, strings.Repeat("a;\"b\n", 500))
	quotes := withCode(problems, problem.Quote)
	require.Len(t, quotes, listedQuotes+1)
	require.Contains(t, quotes[listedQuotes].Message, "lines 101, 102, ")
	require.Contains(t, quotes[listedQuotes].Message, "and 388 more")
}

func TestLongStrayLineIsCut(t *testing.T) {
	_, problems := readText(t, "a;b\n1;\"ä"+strings.Repeat("ü", 200)+"\n2;3\n")
	value := withCode(problems, problem.Quote)[0].Value
	require.True(t, utf8.ValidString(value))
	require.True(t, strings.HasPrefix(value, "1;\"äü") && strings.HasSuffix(value, "ü…"), value)
	require.Less(t, len(value), 130)
}

// Row 13: a quoted line break is one row, and its place is its first line.
func TestRow13QuotedLineBreaks(t *testing.T) {
	for _, end := range []string{"\n", "\r\n", "\r"} {
		text := strings.ReplaceAll("date;notes;eggs\n1;\"laid\n\non \"\"moss\"\";\";12\n2;\"x\";7\n", "\n", end)
		grid, problems := readText(t, text)
		require.Equal(t, [][]string{{"date", "notes", "eggs"}, {"1", "laid" + end + end + `on "moss";`, "12"}, {"2", "x", "7"}}, textRows(grid))
		require.Equal(t, []int{1, 2, 5}, rowNumbers(grid))
		require.Empty(t, problems)
	}
	longest := "a;\"" + strings.Repeat("\n", quoteLines-1) + "\"\nb;c\n"
	grid, problems := readText(t, longest)
	require.Equal(t, []int{1, quoteLines + 1}, rowNumbers(grid))
	require.Empty(t, problems)
}

func TestQuotesBesideSpaces(t *testing.T) {
	grid, problems := readText(t, "a, \"b, c\" ,d\n1, \"2\" x,3\n1,\"2\" ,3\n5\" long,4,\"\"\n")
	require.Equal(t, [][]string{{"a", "b, c", "d"}, {"1", ` "2" x`, "3"}, {"1", "2", "3"}, {`5" long`, "4", ""}}, textRows(grid))
	require.Empty(t, problems)
}

// Row 14: short and long rows come as they are.
func TestRow14ShortAndLongRows(t *testing.T) {
	grid, problems := readText(t, "a;b;c\n1\n1;2\n1;2;3;4\n;;;;\n1;2;3;;\n")
	require.Equal(t, [][]string{{"a", "b", "c"}, {"1"}, {"1", "2"}, {"1", "2", "3", "4"}, {"", "", "", "", ""}, {"1", "2", "3", "", ""}}, textRows(grid))
	require.Empty(t, problems)
	for row := range grid.Each {
		for _, c := range row.Cells {
			require.Equal(t, c.Text == "", c.Kind == Blank)
		}
	}
}

// Row 39 for text: what stands too far to the right refuses the file, at once;
// empty cells there don't.
func TestRow39TooManyColumns(t *testing.T) {
	far := "a;b\n1;2" + strings.Repeat(";", 20_000)
	p := onlyError(t, Read("log.csv", []byte(far+"x\n"), Limits{}), problem.Limit)
	require.Equal(t, 2, p.Place.Row)
	require.Contains(t, p.Message, "cell 20002")
	grid := onlyGrid(t, Read("log.csv", []byte(far+"\n"), Limits{}))
	for row := range grid.Each {
		require.LessOrEqual(t, len(row.Cells), 1024)
	}
}

// Row 44: whatever notes hold stays as it is.
func TestRow44HostileNotes(t *testing.T) {
	notes := []string{"=cmd|' /C calc'!A0", "@SUM(A1)", "-2+3", "a\vb\x1b[31mred\x07", "\u202eabc\u202c", strings.Repeat("long ", 8000) + "end"}
	grid, _ := readText(t, "date;notes\n2024-03-04;"+strings.Join(notes, "\n2024-03-04;"))
	rows := textRows(grid)
	require.Len(t, rows, len(notes)+1)
	for i, note := range notes {
		require.Equal(t, note, rows[i+1][1])
	}
}

func TestEachCanStopAndStartAgain(t *testing.T) {
	grid, _ := readText(t, "a;b\n1;2\n3;4\n")
	for row := range grid.Each {
		require.Equal(t, 1, row.Number)
		break
	}
	require.Equal(t, []int{1, 2, 3}, rowNumbers(grid))
}

// withoutSyntax leaves of a text what must end up in cells: no space, no
// delimiter, no quotation mark.
func withoutSyntax(s string, delimiter byte) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == '"' || r == rune(delimiter) {
			return -1
		}
		return r
	}, s)
}

// FuzzTokeniser holds that no character is lost, whatever the quotation marks
// do; that row numbers ascend; and that each row begins where its number says.
func FuzzTokeniser(f *testing.F) {
	for _, seed := range []string{
		"a;b\n1;2\n", "a;\"b\n\"\"c\";d\r\n\"x\"y;z\r\"", "sep=,\na,b\r\r\n\n", "\";\";\"\n\"\"\"", " \"a\" ;b\n;;\n", "a;b\rc;\"d\re\"",
	} {
		f.Add(seed, byte(';'))
	}
	f.Fuzz(func(t *testing.T, text string, delimiter byte) {
		if delimiter != 0 && !mayDelimit(delimiter) || !utf8.ValidString(text) {
			return
		}
		tokens := newTokeniser(text, delimiter, len(text)+1)
		lines := strings.Split(strings.ReplaceAll(strings.ReplaceAll(text, "\r\n", "\n"), "\r", "\n"), "\n")
		var got strings.Builder
		last := tokens.line - 1
		if last > 0 {
			got.WriteString(lines[0]) // the line that names the delimiter
		}
		for {
			row, ok := tokens.next()
			if !ok {
				break
			}
			require.Greater(t, row.Number, last)
			require.LessOrEqual(t, row.Number, len(lines))
			last = row.Number
			for _, c := range row.Cells {
				got.WriteString(c.Text)
			}
			if len(row.Cells) > 0 {
				first := row.Cells[0].Text
				if i := strings.IndexAny(first, "\r\n"); i >= 0 {
					first = first[:i]
				}
				require.Contains(t, withoutSyntax(lines[row.Number-1], 0), withoutSyntax(first, 0))
			}
		}
		require.Equal(t, withoutSyntax(text, delimiter), withoutSyntax(got.String(), delimiter))
		require.Equal(t, len(text), tokens.pos)
	})
}

// loggerText is what a logger exports: rows of a date, a time and numbers.
func loggerText(rows int) string {
	var b strings.Builder
	b.WriteString("no;date;time;temperature (°C);pressure (hPa);pH;light\r\n")
	for i := range rows {
		fmt.Fprintf(&b, "%d;2024-%02d-%02d;%02d:%02d:00;%d,%d;%d,%d;6,%d;%d\r\n",
			i, i/40000%12+1, i/1440%28+1, i/60%24, i%60, 20+i%7, i%10, 980+i%50, i%10, i%10, i%3000)
	}
	return b.String()
}

func BenchmarkTokeniser(b *testing.B) {
	plain := loggerText(200_000)
	for name, text := range map[string]string{"plain": plain, "quoted": quoteThird(plain)} {
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				cells := 0
				tokens := newTokeniser(text, ';', 1024)
				for row, ok := tokens.next(); ok; row, ok = tokens.next() {
					cells += len(row.Cells)
				}
				if cells < 1_000_000 {
					b.Fatal(cells)
				}
			}
		})
	}
}

func quoteThird(text string) string {
	lines := strings.Split(text, "\r\n")
	for i, line := range lines {
		cells := strings.Split(line, ";")
		if len(cells) > 3 {
			cells[3] = `"` + cells[3] + `"`
		}
		lines[i] = strings.Join(cells, ";")
	}
	return strings.Join(lines, "\r\n")
}

func BenchmarkReadText(b *testing.B) {
	raw := []byte(loggerText(200_000))
	b.SetBytes(int64(len(raw)))
	b.ReportAllocs()
	for b.Loop() {
		if f := Read("logger.csv", raw, Limits{}); len(f.Grids) != 1 {
			b.Fatal(f.Problems)
		}
	}
}
