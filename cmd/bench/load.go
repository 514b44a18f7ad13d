package main

import (
	"fmt"
	"math"
	"os"
	"strings"
)

// load is how many processes of the machine want a processor, over the last 1, 5 and 15
// minutes, where the system tells.
func load() string {
	text, err := os.ReadFile("/proc/loadavg")
	words := strings.Fields(string(text))
	if err != nil || len(words) < 3 {
		return "unknown"
	}
	return strings.Join(words[:3], " ")
}

// growth says for each comparison of several sizes with which power of the number of
// rows its time goes up, from the smallest to the largest.
func growth(results []result) []string {
	var out []string
	for i := 0; i < len(results); {
		j := i + 1
		for j < len(results) && results[j].name == results[i].name {
			j++
		}
		first, last := results[i], results[j-1]
		i = j
		if first.failure != nil || last.failure != nil || first.rows >= last.rows {
			continue
		}
		line := fmt.Sprintf("%s, %d to %d rows: time goes up with the number of rows to the power of %.2f", first.name, first.rows, last.rows, power(first, last, first.ours, last.ours))
		if len(first.rival) > 0 && len(last.rival) > 0 {
			line += fmt.Sprintf(", the rival's %.2f", power(first, last, first.rival, last.rival))
		}
		out = append(out, line)
	}
	return out
}

func power(first, last result, a, b []turn) float64 {
	return math.Log(median(seconds(b))/median(seconds(a))) / math.Log(float64(last.rows)/float64(first.rows))
}
