package main

import (
	"encoding/json"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A layer may import only what is named: prefixes of gravid's own packages, and
// of other modules where the use of a library is confined.
var layers = []struct {
	pkg  string // a package or, with /..., all below it
	only []string
}{
	{"gravid/stats/...", []string{"gravid/stats", "gonum.org/v1/gonum"}},
	{"gravid/ingest/problem", nil},
	{"gravid/ingest/printable", nil},
	{"gravid/ingest/unit", []string{"gravid/ingest/problem", "golang.org/x/text"}},
	{"gravid/ingest/...", []string{"gravid/ingest", "*"}},
	{"gravid/analyze/report/...", []string{"gravid/analyze/report", "gravid/ingest/printable", "*"}},
	{"gravid/analyze/...", []string{"gravid/analyze", "gravid/ingest/club", "gravid/ingest/problem", "gravid/stats", "*"}},
}

// confined libraries: only these packages may import them.
var confined = map[string][]string{
	"github.com/apache/arrow":  {"gravid/ingest/club", "gravid/analyze/exposure"},
	"github.com/xuri/excelize": {"gravid/ingest/source", "gravid/ingest/template", "gravid/analyze/report/workbook", "gravid/cmd/makedemo"},
	"github.com/spf13/cobra":   {"gravid/cmd/gravid"},
	"github.com/pelletier":     {"gravid/ingest/club", "gravid/ingest"},
	"gravid/cmd":               {"gravid/cmd"},
	"gonum.org/v1/gonum/stat":  {"gravid/cmd/experiments", "gravid/stats"},
	"github.com/stretchr":      {"gravid/stats/internal/statstest"},
	"github.com/rogpeppe":      nil,
	"math/rand":                {"gravid/cmd/bench", "gravid/cmd/experiments", "gravid/cmd/makedemo", "gravid/stats"},
}

func below(path, prefix string) bool { return path == prefix || strings.HasPrefix(path, prefix+"/") }

// TestLayers holds that imports point down only.
func TestLayers(t *testing.T) {
	out, err := exec.Command("go", "list", "-json=ImportPath,Imports", "gravid/...").Output()
	require.NoError(t, err)
	type listed struct {
		ImportPath string
		Imports    []string
	}
	var packages []listed
	for d := json.NewDecoder(strings.NewReader(string(out))); d.More(); {
		var p listed
		require.NoError(t, d.Decode(&p))
		packages = append(packages, p)
	}
	require.Greater(t, len(packages), 10, "go list found too few packages to test anything")
	for _, p := range packages {
		for _, imported := range p.Imports {
			if reason := forbidden(p.ImportPath, imported); reason != "" {
				t.Errorf("%s must not import %s: %s", p.ImportPath, imported, reason)
			}
		}
	}
}

// forbidden says why one package may not import another, or nothing.
func forbidden(pkg, imported string) string {
	for library, users := range confined {
		if !strings.HasPrefix(imported, library) || below(pkg, "gravid/cmd") && library == "gravid/cmd" {
			continue
		}
		allowed := false
		for _, user := range users {
			allowed = allowed || below(pkg, user)
		}
		if !allowed {
			return "only " + strings.Join(users, ", ") + " may use " + library
		}
	}
	standard := !strings.Contains(strings.SplitN(imported, "/", 2)[0], ".") && !strings.HasPrefix(imported, "gravid")
	if standard {
		return ""
	}
	for _, l := range layers {
		prefix, all := strings.CutSuffix(l.pkg, "/...")
		if !(pkg == prefix || all && below(pkg, prefix)) {
			continue
		}
		for _, o := range l.only {
			if below(imported, o) || o == "*" && !strings.HasPrefix(imported, "gravid") {
				return ""
			}
		}
		return "it is outside the layer " + l.pkg
	}
	return ""
}

// TestLayersCanFail shows the gate red for one import of each kind.
func TestLayersCanFail(t *testing.T) {
	for _, c := range [][2]string{
		{"gravid/stats/logit", "gravid/ingest/club"},
		{"gravid/stats/logit", "github.com/apache/arrow/go/v15/arrow"},
		{"gravid/analyze/answer", "github.com/apache/arrow/go/v15/arrow"},
		{"gravid/analyze/report/text", "gravid/analyze/answer"},
		{"gravid/analyze/answer", "gravid/ingest/source"},
		{"gravid/ingest/club", "gravid/analyze/answer"},
		{"gravid/ingest", "gravid/cmd/gravid"},
		{"gravid/ingest/cell", "github.com/xuri/excelize/v2"},
	} {
		require.NotEmpty(t, forbidden(c[0], c[1]), "%s -> %s", c[0], c[1])
	}
	for _, c := range [][2]string{
		{"gravid/stats/logit", "gonum.org/v1/gonum/mat"},
		{"gravid/stats/logit", "math"},
		{"gravid/analyze/answer", "gravid/stats/logit"},
		{"gravid/analyze/answer", "gravid/ingest/club"},
		{"gravid/ingest/club", "github.com/apache/arrow/go/v15/arrow"},
		{"gravid/cmd/gravid", "gravid/ingest"},
	} {
		require.Empty(t, forbidden(c[0], c[1]), "%s -> %s", c[0], c[1])
	}
}
