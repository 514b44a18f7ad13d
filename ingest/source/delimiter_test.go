package source

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/problem"
)

// Row 10 of the list of hostile inputs: a semicolon between cells with decimal
// commas and a point that groups digits. What the numbers mean is decided later.
func TestRow10DecimalCommas(t *testing.T) {
	grid, problems := readText(t, "Datum;Temp;pH;Eier\n04.03.2024;24,5;6,8;1.200\n05.03.2024;25,0;6,9;980\n")
	require.Equal(t, [][]string{{"Datum", "Temp", "pH", "Eier"}, {"04.03.2024", "24,5", "6,8", "1.200"}, {"05.03.2024", "25,0", "6,9", "980"}}, textRows(grid))
	require.Equal(t, ";", grid.Delimiter)
	require.Empty(t, problems)
}

func TestFindDelimiter(t *testing.T) {
	for name, c := range map[string]struct {
		want byte
		text string
	}{
		"commas":                      {',', "date,temp,eggs\n2024-03-04,24.5,12\n2024-03-05,25,7\n"},
		"semicolons":                  {';', "date;temp;eggs\n2024-03-04;24.5;12\n"},
		"tabs":                        {'\t', "date\ttemp\teggs\n2024-03-04\t24.5\t12\n"},
		"bars":                        {'|', "date|temp|eggs\n2024-03-04|24.5|12\n"},
		"bars at the ends":            {'|', "| date | temp |\n|---|---|\n| 2024-03-04 | 24,5 |\n"},
		"tabs, decimal commas":        {'\t', "date\ttemp\n2024-03-04\t24,5\n2024-03-05\t25,1\n"},
		"one decimal comma a row":     {';', "date;temp\n2024-03-04;24,5\n2024-03-05;25,1\n2024-03-06;25,1\n"},
		"only decimal commas":         {';', "24,5;6,8\n25,1;6,9\n"},
		"commas in notes":             {';', "date;notes\n1.3.;laid, on moss, big clutch\n2.3.;nothing, again\n3.3.;fine\n"},
		"semicolons in notes":         {',', "date,eggs,notes\n2024-03-04,12,laid; moss\n2024-03-05,7,fine\n2024-03-06,7,water; new\n"},
		"quoted commas":               {',', "date,notes,eggs\n2024-03-04,\"laid, on moss\",12\n2024-03-05,\"x, y\",7\n"},
		"title rows":                  {';', "Log of Ana, Jörg and others, 2024\n\nTank 4\nDate;Temp;Eggs\n4.3.;24,5;12\n5.3.;25;7\n6.3.;25;7\n"},
		"one row":                     {';', "2024-03-04;24,5;12"},
		"two columns":                 {',', "date,eggs\n2024-03-04,12\n2024-03-05,7\n"},
		"times with commas":           {';', "date;time;hPa\n2024-03-04;19:30;1013,2\n2024-03-04;19:40;1013,1\n"},
		"spaces after semicolons":     {';', "date; temp; pH\n4.3.2024; 24,5; 6,8\n"},
		"spaces after commas":         {',', "date, temp, pH\n2024-03-04, 24.5, 6.8\n"},
		"many columns":                {',', strings.Repeat("a,", 30) + "z\n" + strings.Repeat("1,", 30) + "2\n"},
		"ragged":                      {';', "date;a;b\n1;2\n1;2;3\n1;2;3;4\n1;2;3\n1;2;3\n"},
		"mostly empty":                {';', "date;a;b;c;d\n1.3.;;;;\n2.3.;;;;5\n;;;;\n"},
		"thousands with commas":       {';', "date;eggs\n2024-03-04;1,200\n2024-03-05;980\n"},
		"tabs and commas in numbers":  {'\t', "1\t1,5\t2,5\n2\t1,5\t2,5\n"},
		"ratio":                       {';', "date;sex\n2024-03-04;1,2\n2024-03-05;2,3\n"},
		"decimal comma in few cells":  {';', "date;temp;eggs\n2024-03-04;24;1\n2024-03-05;24,5;2\n2024-03-06;24;3\n"},
		"only headings":               {';', "Datum;Temperatur;Leitwert;Eier"},
		"long notes with many commas": {'\t', "date\tnotes\n" + strings.Repeat("2024-03-04\tfed, changed water, looked, wrote, slept, and so on\n", 20)},
		"no delimiter":                {0, "laid on monday\nhatched\nswam\n"},
		"quoted semicolons and lines": {',', "a,b\n\"x;\ny;\",1\n\"z;\nw;\",2\n"},
		"stray quotation marks":       {';', "date;notes;n\n1;\"big\" male;2\n2;5\" fish;3\n3;ok;4\n"},
		"CR":                          {';', "date;temp\r4.3.;24,5\r5.3.;25,5\r"},
	} {
		require.Equal(t, string(rune(c.want)), string(rune(findDelimiter(c.text, 1024))), name)
	}
}

func TestDelimiterIsFoundInTheBeginningOfALongText(t *testing.T) {
	text := strings.Repeat("2024-03-04;24,5;7\n", 20_000)
	require.Equal(t, byte(';'), findDelimiter(text, 1024))
	require.Equal(t, byte(0), findDelimiter(strings.Repeat("x", 3*delimiterSample), 1024))
}

func TestTextWithoutDelimiterIsOneColumnAndAWarning(t *testing.T) {
	grid, problems := readText(t, "laid on monday\nhatched \"early\"\n")
	require.Equal(t, [][]string{{"laid on monday"}, {`hatched "early"`}}, textRows(grid))
	require.Empty(t, grid.Delimiter)
	require.Len(t, problems, 1)
	require.Equal(t, problem.Warning, problems[0].Severity)
}

func TestNamedDelimiter(t *testing.T) {
	f := ReadWith("log.csv", []byte("a/b;c\n1/2;3\n"), Hints{Delimiter: "/"}, Limits{})
	require.Equal(t, [][]string{{"a", "b;c"}, {"1", "2;3"}}, textRows(onlyGrid(t, f)))
	for _, wrong := range []string{"ab", "x", "7", "\"", "\n", "ä"} {
		onlyError(t, ReadWith("log.csv", []byte("a;b\n"), Hints{Delimiter: wrong}, Limits{}), problem.MappingInvalid)
	}
}
