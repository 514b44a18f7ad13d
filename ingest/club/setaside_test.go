package club_test

import (
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"gravid/ingest/club"
)

// asideFiles lists the files in set-aside/.
func asideFiles(t *testing.T, c *club.Club) []string {
	return slices.DeleteFunc(names(t, c), func(name string) bool { return !strings.HasPrefix(name, "set-aside/") })
}

func TestSetAside(t *testing.T) {
	c := newClub(t)
	rows := [][]string{
		{"2024-03-01", "24,5", "-2", "=1+1", `say "hi"`},
		{"", "", "", "", "a\r\nb"},
	}
	header := []string{"Datum", "Temp (°C)", "Δ", "-", "Bemerkung"}
	require.NoError(t, c.Replace(club.Tables{},
		club.SetAside{File: "ana/log.csv", Header: header, Rows: rows},
		club.SetAside{File: "ben.xlsx", Sheet: "2024", Header: []string{"a"}, Rows: [][]string{{"1"}, {""}}},
		club.SetAside{File: "ben.xlsx", Sheet: "2024", Rows: [][]string{{"second table of the sheet"}}},
	))
	require.Equal(t, []string{"set-aside/ana/log.csv.csv", "set-aside/ben.xlsx.2024-2.csv", "set-aside/ben.xlsx.2024.csv"}, asideFiles(t, c))
	found := files(t, c)
	require.Equal(t, "Datum,Temp (°C),Δ,'-,Bemerkung\r\n"+
		"2024-03-01,\"24,5\",-2,'=1+1,\"say \"\"hi\"\"\"\r\n"+
		",,,,\"a\r\nb\"\r\n", found["set-aside/ana/log.csv.csv"])
	require.Equal(t, "a\r\n1\r\n\"\"\r\n", found["set-aside/ben.xlsx.2024.csv"])

	// every cell comes back as the keeper wrote it
	read, err := csv.NewReader(strings.NewReader(strings.ReplaceAll(found["set-aside/ana/log.csv.csv"], "a\r\nb", "a\nb"))).ReadAll()
	require.NoError(t, err)
	for i, want := range append([][]string{header}, rows...) {
		for j, cell := range want {
			require.Equal(t, strings.ReplaceAll(cell, "\r\n", "\n"), club.UnguardFormula(read[i][j]))
		}
	}

	// rows that were mended are no longer set aside
	require.NoError(t, c.Replace(club.Tables{}, club.SetAside{File: "ben.xlsx", Sheet: "2024", Rows: [][]string{{"still"}}}))
	require.Equal(t, []string{"set-aside/ben.xlsx.2024.csv"}, asideFiles(t, c))
	_, err = os.Stat(filepath.Join(c.Dir, "set-aside", "ana"))
	require.ErrorIs(t, err, os.ErrNotExist, "an empty folder goes too")
	require.NoError(t, c.Replace(club.Tables{}))
	require.Empty(t, asideFiles(t, c))
}

// TestSetAsideNames: names from outside become names that any system can store,
// inside set-aside/, and two logs never share one.
func TestSetAsideNames(t *testing.T) {
	c := newClub(t)
	hostile := []string{
		"../../etc/passwd", "/abs", "a\nb.csv", "a\rb.csv", "-rf", "%s.csv", "x\xff.csv", strings.Repeat("ü", 120) + ".csv",
		".hidden", "con", "NUL.csv", "a:b", "a?b", "dots...", "", "\u202egpj.csv", "ANA.csv", "ana.csv", "a/../b", "..",
	}
	var aside []club.SetAside
	for _, file := range hostile {
		aside = append(aside, club.SetAside{File: file, Rows: [][]string{{file}}})
	}
	aside = append(aside, club.SetAside{File: "book.xlsx", Sheet: "a/b"}, club.SetAside{File: "book.xlsx", Sheet: "a\\b"})
	for i := range aside {
		for j, row := range aside[i].Rows {
			aside[i].Rows[j] = []string{strings.ToValidUTF8(row[0], "?")}
		}
	}
	require.NoError(t, c.Replace(club.Tables{}, aside...))
	found := asideFiles(t, c)
	require.Len(t, found, len(aside))
	folded := map[string]bool{}
	for _, name := range found {
		require.False(t, folded[strings.ToLower(name)], "%s is there twice for systems that fold case", name)
		folded[strings.ToLower(name)] = true
		for part := range strings.SplitSeq(name, "/") {
			require.LessOrEqual(t, len(part), 130)
			require.NotRegexp(t, `^\.|[<>:"\\|?*\x00-\x1f\x{202e}]|[ .]$|^(?i)(con|nul)(\.|$)`, part)
		}
	}
	parent, err := os.ReadDir(filepath.Dir(c.Dir))
	require.NoError(t, err)
	require.Len(t, parent, 1, "nothing is written beside the club")
}

// TestSetAsideKeepsHandWork: a keeper mends rows in set-aside/ itself. The next
// ingest neither overwrites nor removes that, unless it has read it.
func TestSetAsideKeepsHandWork(t *testing.T) {
	aside := func(cell string) club.SetAside {
		return club.SetAside{File: "ana.csv", Rows: [][]string{{cell}}}
	}
	mend := func(t *testing.T, c *club.Club) []byte {
		require.NoError(t, c.Replace(club.Tables{}, aside("bad")))
		mended := []byte("mended by hand\r\n")
		require.NoError(t, os.WriteFile(filepath.Join(c.Dir, "set-aside", "ana.csv.csv"), mended, 0o666))
		return mended
	}
	t.Run("overwritten", func(t *testing.T) {
		c := newClub(t)
		mended := mend(t, c)
		for n := 1; n <= 2; n++ {
			x, err := c.Begin()
			require.NoError(t, err)
			require.NoError(t, x.Replace(club.Tables{}, aside("bad again")))
			require.NoError(t, x.Close())
			if n == 1 {
				require.Equal(t, []string{"set-aside/ana.csv.changed-1.csv"}, x.Renamed())
			} else {
				require.Empty(t, x.Renamed())
			}
			require.Equal(t, []string{"set-aside/ana.csv.changed-1.csv", "set-aside/ana.csv.csv"}, asideFiles(t, c))
			require.Equal(t, string(mended), files(t, c)["set-aside/ana.csv.changed-1.csv"])
		}
	})
	t.Run("removed", func(t *testing.T) {
		c := newClub(t)
		mended := mend(t, c)
		require.NoError(t, c.Replace(club.Tables{}))
		require.Equal(t, string(mended), files(t, c)["set-aside/ana.csv.csv"])
	})
	t.Run("read", func(t *testing.T) {
		c := newClub(t)
		mended := mend(t, c)
		x, err := c.Begin()
		require.NoError(t, err)
		_, err = x.KeepSource("set-aside/ana.csv.csv", mended)
		require.NoError(t, err)
		require.NoError(t, x.Replace(club.Tables{}))
		require.NoError(t, x.Close())
		require.Empty(t, asideFiles(t, c))
	})
}

func TestKeepSource(t *testing.T) {
	c := newClub(t)
	x, err := c.Begin()
	require.NoError(t, err)
	defer func() { require.NoError(t, x.Close()) }()
	content := []byte("date,temp\n2024-03-01,24\n")
	sum := sha256.Sum256(content)
	hash := hex.EncodeToString(sum[:])
	for name, ending := range map[string]string{
		"ana/log.csv": ".csv", "LOG.CSV": ".csv", "book.xlsx": ".xlsx", "log": "", "log.": "", "x.c/d": "",
		"x.averylongending": "", "x.ü": "", "x.b c": "", "../../x.ods": ".ods",
	} {
		kept, err := x.KeepSource(name, content)
		require.NoError(t, err)
		require.Equal(t, "sources/"+hash+ending, kept, name)
		b, err := os.ReadFile(filepath.Join(c.Dir, kept))
		require.NoError(t, err)
		require.Equal(t, content, b)
	}

	// written once: a copy that is there is left alone, a damaged one is mended
	path := filepath.Join(c.Dir, "sources", hash+".csv")
	before, err := os.Stat(path)
	require.NoError(t, err)
	_, err = x.KeepSource("other.csv", content)
	require.NoError(t, err)
	after, err := os.Stat(path)
	require.NoError(t, err)
	require.True(t, os.SameFile(before, after))
	require.NoError(t, os.WriteFile(path, []byte("damaged"), 0o666))
	_, err = x.KeepSource("other.csv", content)
	require.NoError(t, err)
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, content, b)
}
