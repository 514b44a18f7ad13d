package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// A tool runs the scripts of rivals. A script is called with the path of the data. It
// wraps clock around what is timed and has say for every number to compare; need names a
// package that it cannot do without.
type tool struct {
	name      string
	programs  []string // tried in turn, until one has the package
	extension string
	script    func(c comparison) string
	install   func(pkg string) string
}

var tools = map[string]tool{
	"": {
		name: "R", programs: []string{"Rscript"}, extension: ".R", script: scriptInR,
		install: func(pkg string) string {
			switch pkg {
			case "R":
				return "apt-get install r-base"
			case "logistf":
				return `install.packages("logistf") in R`
			}
			return fmt.Sprintf(`apt-get install r-cran-%s, or install.packages("%s") in R`, strings.ToLower(pkg), pkg)
		},
	},
	"python": {
		name: "Python", programs: []string{"python3", "/usr/bin/python3"}, extension: ".py", script: scriptInPython,
		install: func(pkg string) string {
			if pkg == "Python" {
				return "apt-get install python3"
			}
			return fmt.Sprintf("apt-get install python3-%s, or pip install %s", pkg, pkg)
		},
	},
	"node": {
		name: "Node.js", programs: []string{"node"}, extension: ".cjs", script: scriptInNode,
		install: func(pkg string) string {
			if pkg == "Node.js" {
				return "apt-get install nodejs npm"
			}
			return fmt.Sprintf("npm install %s in a folder of its own, and NODE_PATH set to its node_modules", pkg)
		},
	},
}

// takeRival takes the rival's turn. Without the tool itself that is what is missing.
func takeRival(c comparison, dir, file string) (turn, error) {
	t := tools[c.tool]
	script := filepath.Join(dir, c.name+t.extension)
	if err := os.WriteFile(script, []byte(t.script(c)), 0o666); err != nil {
		return turn{}, err
	}
	last := turn{missing: t.name}
	for _, program := range t.programs {
		path, err := exec.LookPath(program)
		if err != nil {
			continue
		}
		args := []string{script, file}
		if c.tool == "" {
			args = append([]string{"--vanilla"}, args...)
		}
		if last, err = take(exec.Command(path, args...)); err != nil || last.missing == "" {
			return last, err
		}
	}
	return last, nil
}

// scriptInR puts before the script what it needs. Columns of a frame are in d.
func scriptInR(c comparison) string {
	text := preludeInR
	if c.lay == nil {
		text += frameInR
	}
	text += "cat(\"version\", \"R\", as.character(getRversion()), \"\\n\")\n"
	for _, p := range c.packages {
		text += fmt.Sprintf("need(%q)\n", p)
	}
	return text + c.script
}

// longEnough is 0.2 here.
const preludeInR = `
options(warn = -1, digits = 17)
args <- commandArgs(trailingOnly = TRUE)
need <- function(...) for (p in c(...)) {
  if (!requireNamespace(p, quietly = TRUE)) { cat("missing", p, "\n"); quit(status = 0) }
  cat("version", p, as.character(packageVersion(p)), "\n")
}
used <- function() sum(proc.time()[1:2])
clock <- function(call, once = FALSE) {
  gc()
  calls <- 1; busy <- used(); start <- Sys.time(); out <- call(); first <- as.numeric(difftime(Sys.time(), start, units = "secs"))
  if (first < 0.2 && !once) {
    calls <- 0; busy <- used(); start <- Sys.time()
    repeat {
      out <- call(); calls <- calls + 1
      all <- as.numeric(difftime(Sys.time(), start, units = "secs"))
      if (all >= 0.2) break
    }
    first <- all / calls
  }
  cat("processor", format((used() - busy) / calls, digits = 9), "\n")
  cat("seconds", format(first, digits = 9), "\n")
  out
}
say <- function(name, value) cat(paste0("value ", name, if (length(value) > 1) seq_along(value) else "", " ", format(unname(value), digits = 17, trim = TRUE), "\n"), sep = "")
`

const frameInR = `
d <- local({
  con <- file(args[1], "rb"); on.exit(close(con))
  head <- strsplit(readLines(con, 1), " ")[[1]]
  n <- as.integer(head[1])
  cols <- lapply(head[-1], function(h) readBin(con, "double", n, endian = "little"))
  names(cols) <- head[-1]
  as.data.frame(cols)
})
`

// scriptInPython reads the barometer's log, whose path is in path.
func scriptInPython(c comparison) string {
	pkg := c.packages[0]
	return fmt.Sprintf(`
import sys, time
try:
    import %[1]s
except ImportError:
    print("missing %[1]s")
    sys.exit(0)
print("version %[1]s", %[1]s.__version__)
path = sys.argv[1] + "/logs/weather/barometer.csv"
def clock(call):
    start, used = time.perf_counter(), time.process_time()
    out = call()
    print("processor", time.process_time() - used)
    print("seconds", time.perf_counter() - start)
    return out
def say(name, value):
    print("value", name, repr(float(value)))
`, pkg) + c.script
}

// scriptInNode does the same, with a connection c to a database in memory.
func scriptInNode(c comparison) string {
	return fmt.Sprintf(`
const path = process.argv[2] + "/logs/weather/barometer.csv";
let duckdb;
try { duckdb = require(%[1]q); } catch { console.log("missing " + %[1]q); process.exit(0); }
const clock = async (call) => {
  const start = process.hrtime.bigint(), before = process.cpuUsage();
  await call();
  const used = process.cpuUsage(before);
  console.log("processor " + (used.user + used.system) / 1e6);
  console.log("seconds " + Number(process.hrtime.bigint() - start) / 1e9);
};
const say = (name, value) => console.log("value " + name + " " + value);
(async () => {
  console.log("version DuckDB " + duckdb.version());
  const c = await (await duckdb.DuckDBInstance.create(":memory:")).connect();
%[2]s})().catch((e) => { console.error(e); process.exit(1); });
`, c.packages[0], c.script)
}
