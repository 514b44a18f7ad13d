//go:build linux

package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"strings"
)

// badText says which character of a text would act on a terminal or turn the
// direction of writing, or nothing.
func badText(s string) string {
	for i, r := range s {
		if r == '\n' || r == '\t' {
			continue
		}
		if r < ' ' || r >= 0x7f && r < 0xa0 || r == 0x061c || r >= 0x200e && r <= 0x200f || r >= 0x2028 && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			return fmt.Sprintf("the character %U after %s", r, short(s[max(0, i-60):i], 80))
		}
		if r == 0xfffd && !strings.HasPrefix(s[i:], "\ufffd") {
			return fmt.Sprintf("a byte that is no UTF-8 after %s", short(s[max(0, i-60):i], 80))
		}
	}
	return ""
}

// exported is a table by the names of its columns.
func (b *bench) exported(club, table string) ([]map[string]string, error) {
	o, err := b.gravid("export", table, "--club", club, "--format", "csv")
	if err != nil {
		return nil, err
	}
	rows, err := csv.NewReader(strings.NewReader(o.stdout)).ReadAll()
	if err != nil || len(rows) == 0 {
		return nil, fmt.Errorf("gravid export %s: no table: %v%s", table, err, o.saying())
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		named := map[string]string{}
		for i, cell := range row {
			named[rows[0][i]] = cell
		}
		out = append(out, named)
	}
	return out, nil
}

func injection(*bench) error { return errors.New("not yet") }
func privacy(*bench) error   { return errors.New("not yet") }
