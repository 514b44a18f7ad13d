package notebooks

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// exported lists the exported functions (no methods) of the Go files in a folder.
func exported(t *testing.T, folder string) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(folder, "*.go"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	var names []string
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		for _, d := range file.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && f.Recv == nil && f.Name.IsExported() {
				names = append(names, f.Name.Name)
			}
		}
	}
	return names
}

// The page for statisticians names every exported function of the statistics, and no word
// in the style of code that they don't have.
func TestStatisticiansPage(t *testing.T) {
	text, err := os.ReadFile("for-statisticians.md")
	require.NoError(t, err)
	named := map[string]bool{}
	for _, m := range regexp.MustCompile("`([A-Z][A-Za-z0-9]*)`").FindAllStringSubmatch(string(text), -1) {
		named[m[1]] = true
	}
	families := regexp.MustCompile("`([A-Z][A-Za-z]*)…`").FindAllStringSubmatch(string(text), -1)
	require.NotEmpty(t, families)
	for _, p := range []string{"logit", "pool", "adjust", "power", "duration", "count", "tail"} {
		for _, name := range exported(t, filepath.Join("..", "stats", p)) {
			found := named[name]
			for _, f := range families {
				found = found || p == "tail" && strings.HasPrefix(strings.TrimPrefix(name, "Log"), f[1])
			}
			require.True(t, found, "for-statisticians.md does not name %s.%s", p, name)
		}
	}
	source := ""
	files, err := filepath.Glob("../stats/*/*.go")
	require.NoError(t, err)
	for _, f := range files {
		code, err := os.ReadFile(f)
		require.NoError(t, err)
		source += string(code)
	}
	for name := range named {
		require.True(t, regexp.MustCompile(`\b`+name+`\b`).MatchString(source), "for-statisticians.md names %s, which is not there", name)
	}
}

// Links between the pages lead somewhere, and pictures are there.
func TestPagesLinkToWhatIsThere(t *testing.T) {
	pages, err := filepath.Glob("*.md")
	require.NoError(t, err)
	for _, page := range append(pages, "../README.md", "../DEVELOPERS.md") {
		text, err := os.ReadFile(page)
		require.NoError(t, err)
		for _, m := range regexp.MustCompile(`\]\(([^)#]+)\)`).FindAllStringSubmatch(string(text), -1) {
			if strings.Contains(m[1], "://") {
				continue
			}
			_, err := os.Stat(filepath.Join(filepath.Dir(page), m[1]))
			require.NoError(t, err, page)
		}
	}
}
