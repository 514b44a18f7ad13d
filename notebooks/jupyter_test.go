package notebooks

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"image"
	_ "image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A book is a Jupyter notebook of format 4, as far as the tests look at it.
type book struct {
	Cells    []cell `json:"cells"`
	Metadata struct {
		Kernel struct {
			Name string `json:"name"`
		} `json:"kernelspec"`
		Language map[string]any `json:"language_info"`
	} `json:"metadata"`
	Format int `json:"nbformat"`
}

// A cell of a notebook. Its metadata says what the test wants of its output: the
// texts that it shows, in this order, and how many plots.
type cell struct {
	ID       string   `json:"id"`
	Type     string   `json:"cell_type"`
	Source   lines    `json:"source"`
	Count    *int     `json:"execution_count"`
	Outputs  []output `json:"outputs"`
	Metadata struct {
		Shows []string `json:"shows"`
		Plots int      `json:"plots"`
	} `json:"metadata"`
}

type output struct {
	Type string           `json:"output_type"`
	Name string           `json:"name"` // stdout or stderr, of a stream
	Text lines            `json:"text"`
	Data map[string]lines `json:"data"`
}

// lines is a text that the format keeps as a list of lines or as one string.
type lines string

func (l *lines) UnmarshalJSON(b []byte) error {
	var list []string
	if json.Unmarshal(b, &list) == nil {
		*l = lines(strings.Join(list, ""))
		return nil
	}
	return json.Unmarshal(b, (*string)(l))
}

// shown is all text that a cell put out.
func (c cell) shown() string {
	var all strings.Builder
	for _, o := range c.Outputs {
		all.WriteString(string(o.Text))
		all.WriteString(string(o.Data["text/plain"]))
		all.WriteString("\n")
	}
	return all.String()
}

func readBook(t *testing.T, name string) (b book) {
	t.Helper()
	text, err := os.ReadFile(name)
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(text, &b))
	require.Equal(t, 4, b.Format)
	require.NotEmpty(t, b.Cells)
	return b
}

func books(t *testing.T) []string {
	t.Helper()
	names, err := filepath.Glob("*.ipynb")
	require.NoError(t, err)
	require.NotEmpty(t, names)
	return names
}

// needs are what the kernel of each notebook has to find, by the name of the
// notebook: libraries of Python or packages of R.
var needs = map[string][]string{
	"answers-in-r.ipynb":     {"brglm2", "clubSandwich", "etm", "jsonlite", "survival"},
	"logs-to-season.ipynb":   nil,
	"tables-in-python.ipynb": {"pandas", "statsmodels", "matplotlib"},
}

// absent leaves the test out where something is missing, but fails it in CI, which
// has to install it.
func absent(t *testing.T, what string) {
	t.Helper()
	what += " is missing: .ci/run install installs it"
	if os.Getenv("CI") == "true" {
		t.Fatal(what)
	}
	t.Skip(what)
}

// kernel finds the program behind a Jupyter kernel and sees that it has the libraries.
func kernel(t *testing.T, name string, libraries []string) {
	t.Helper()
	if exec.Command("jupyter", "nbconvert", "--version").Run() != nil {
		absent(t, "jupyter nbconvert")
	}
	listed, err := exec.Command("jupyter", "kernelspec", "list", "--json").Output()
	if err != nil {
		absent(t, "jupyter kernelspec")
	}
	var list struct {
		Specs map[string]struct {
			Spec struct {
				Argv []string `json:"argv"`
			} `json:"spec"`
		} `json:"kernelspecs"`
	}
	require.NoError(t, json.Unmarshal(listed, &list))
	spec, found := list.Specs[name]
	if !found {
		absent(t, "the Jupyter kernel "+name)
	}
	require.NotEmpty(t, spec.Spec.Argv)
	program := spec.Spec.Argv[0]
	for _, l := range libraries {
		try := exec.Command(program, "-c", "import "+l)
		if name == "ir" {
			try = exec.Command(program, "--slave", "-e", "library("+l+")")
		}
		if try.Run() != nil {
			absent(t, l+" for "+program)
		}
	}
}

// TestJupyterNotebooks runs every notebook from its first cell to its last in an
// empty folder and looks at what the cells put out.
func TestJupyterNotebooks(t *testing.T) {
	if testing.Short() {
		t.Skip("notebooks take minutes")
	}
	for _, name := range books(t) {
		t.Run(name, func(t *testing.T) {
			libraries, known := needs[name]
			require.True(t, known, "say in needs what %s needs", name)
			before := readBook(t, name)
			kernel(t, before.Metadata.Kernel.Name, libraries)
			dir := t.TempDir()
			run := exec.Command("jupyter", "nbconvert", "--to", "notebook", "--execute",
				"--ExecutePreprocessor.timeout=-1", "--output-dir", dir, name)
			run.Env = append(os.Environ(), "PATH="+gravidFolder(t)+string(os.PathListSeparator)+os.Getenv("PATH"),
				"TMPDIR="+t.TempDir(), "LC_ALL=C.UTF-8", "IPYTHONDIR="+t.TempDir(), "PYDEVD_DISABLE_FILE_VALIDATION=1")
			said, err := run.CombinedOutput()
			require.NoError(t, err, string(said))
			after := readBook(t, filepath.Join(dir, name))
			require.Len(t, after.Cells, len(before.Cells))
			for _, c := range after.Cells {
				if c.Type == "code" {
					lookAt(t, c)
				}
			}
		})
	}
}

// lookAt holds a cell that was run against its metadata.
func lookAt(t *testing.T, c cell) {
	t.Helper()
	require.NotNil(t, c.Count, "cell %s was not run", c.ID)
	rest := c.shown()
	for _, want := range c.Metadata.Shows {
		_, after, found := strings.Cut(rest, want)
		require.True(t, found, "cell %s: no %q in what is left of its output:\n%s", c.ID, want, c.shown())
		rest = after
	}
	plots := 0
	for _, o := range c.Outputs {
		require.NotEqual(t, "error", o.Type, "cell %s failed", c.ID)
		if picture, found := o.Data["image/png"]; found {
			plots++
			requirePicture(t, string(picture), c.ID)
		}
	}
	require.Equal(t, c.Metadata.Plots, plots, "plots of cell %s", c.ID)
}

// requirePicture sees that a plot is more than an empty sheet.
func requirePicture(t *testing.T, encoded, cell string) {
	t.Helper()
	raw, err := base64.StdEncoding.DecodeString(strings.ReplaceAll(encoded, "\n", ""))
	require.NoError(t, err)
	picture, _, err := image.Decode(bytes.NewReader(raw))
	require.NoError(t, err)
	size := picture.Bounds()
	inked := 0
	paper := picture.At(size.Min.X, size.Min.Y)
	for y := size.Min.Y; y < size.Max.Y; y++ {
		for x := size.Min.X; x < size.Max.X; x++ {
			if picture.At(x, y) != paper {
				inked++
			}
		}
	}
	require.Greater(t, inked, size.Dx()*size.Dy()/200, "the plot of cell %s is all but empty", cell)
}

// foreign is what a notebook must not carry from the machine that it was written on.
var foreign = regexp.MustCompile(`/(home|root|tmp|Users|work)/|[A-Z]:\\\\|https?://`)

// TestJupyterNotebooksAreClean holds that notebooks are committed without outputs
// and without anything of the machine they were written on.
func TestJupyterNotebooksAreClean(t *testing.T) {
	for _, name := range books(t) {
		text, err := os.ReadFile(name)
		require.NoError(t, err)
		require.Empty(t, foreign.FindString(string(text)), name)
		b := readBook(t, name)
		require.Contains(t, []string{"python3", "ir"}, b.Metadata.Kernel.Name, name)
		require.Len(t, b.Metadata.Language, 1, "%s: language_info holds more than the name", name)
		var ids []string
		for _, c := range b.Cells {
			require.NotEmpty(t, c.ID, name)
			require.NotContains(t, ids, c.ID, name)
			ids = append(ids, c.ID)
			require.Empty(t, c.Outputs, "%s, cell %s: jupyter nbconvert --clear-output --inplace %s", name, c.ID, name)
			require.Nil(t, c.Count, "%s, cell %s: jupyter nbconvert --clear-output --inplace %s", name, c.ID, name)
		}
		require.True(t, slices.ContainsFunc(b.Cells, func(c cell) bool { return len(c.Metadata.Shows) > 0 }),
			"%s: no cell says what it has to show", name)
	}
}
