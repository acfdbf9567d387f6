package main

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"time"

	"swardcase/model/programme/choice"
)

// program is an integer programme, to be written in the LP format that both
// solvers read.
type program struct {
	objective []part
	rows      []row
	binaries  []string
	free      []string
	bounds    []string
}

type part struct {
	times float64
	name  string
}

type row struct {
	parts []part
	sense string // <=, >= or =
	limit float64
}

func (p *program) add(sense string, limit float64, parts ...part) {
	p.rows = append(p.rows, row{parts, sense, limit})
}

func number(x float64) string { return strconv.FormatFloat(x, 'g', 17, 64) }

func sum(parts []part) string {
	var b strings.Builder
	for i, part := range parts {
		fmt.Fprintf(&b, " %+.15g %s", part.times, part.name)
		if i%8 == 7 {
			b.WriteString("\n")
		}
	}
	return b.String()
}

func (p *program) write(path string) {
	file, err := os.Create(path)
	if err != nil {
		fail("%v", err)
	}
	w := bufio.NewWriter(file)
	fmt.Fprintf(w, "Maximize\n obj: %s\nSubject To\n", sum(p.objective))
	for i, row := range p.rows {
		fmt.Fprintf(w, " r%d: %s %s %s\n", i, sum(row.parts), row.sense, number(row.limit))
	}
	fmt.Fprintln(w, "Bounds")
	for _, b := range p.bounds {
		fmt.Fprintf(w, " %s\n", b)
	}
	for _, name := range p.free {
		fmt.Fprintf(w, " %s free\n", name)
	}
	fmt.Fprintf(w, "Binaries\n %s\nEnd\n", strings.Join(p.binaries, "\n "))
	if err := w.Flush(); err != nil {
		fail("%v", err)
	}
	if err := file.Close(); err != nil {
		fail("%v", err)
	}
}

// knapsackProgram writes choices as they are.
func knapsackProgram(p choice.Problem) *program {
	out := &program{}
	name := func(g, c int) string { return fmt.Sprintf("x%d_%d", g, c) }
	for g, group := range p.Groups {
		var one []part
		for c, value := range group.Values {
			out.binaries = append(out.binaries, name(g, c))
			if value != 0 {
				out.objective = append(out.objective, part{float64(value), name(g, c)})
			}
			one = append(one, part{1, name(g, c)})
		}
		out.add("=", 1, one...)
	}
	for _, r := range p.Rows {
		var parts []part
		for _, e := range r.Entries {
			if e.Amount != 0 {
				parts = append(parts, part{float64(e.Amount), name(e.Group, e.Choice)})
			}
		}
		if len(parts) > 0 {
			out.add("<=", float64(r.Limit), parts...)
		}
	}
	return out
}

// answer is what a solver found.
type answer struct {
	value      float64
	infeasible bool
	nodes      int
	took       time.Duration
}

// solve runs a solver and gives what it printed and its processor time.
func solve(name string, arguments ...string) (string, time.Duration) {
	command := exec.Command(name, arguments...)
	text, err := command.CombinedOutput()
	if err != nil {
		fail("%s: %v: %s", name, err, text)
	}
	usage, _ := command.ProcessState.SysUsage().(*syscall.Rusage)
	if usage == nil {
		return string(text), 0
	}
	return string(text), time.Duration(usage.Utime.Nano() + usage.Stime.Nano())
}

var (
	glpkValue = regexp.MustCompile(`Objective: +\S+ = (\S+)`)
	glpkNodes = regexp.MustCompile(`\((\d+); (\d+)\)`)
	cbcValue  = regexp.MustCompile(`Objective value: +(\S+)`)
	cbcNodes  = regexp.MustCompile(`Enumerated nodes: +(\d+)`)
)

func runGLPK(path string) answer {
	text, took := solve("glpsol", "--lp", path, "--cuts", "-o", path+".out")
	solution, err := os.ReadFile(path + ".out")
	if err != nil {
		fail("%v", err)
	}
	out := answer{took: took}
	if m := glpkValue.FindSubmatch(solution); m != nil {
		out.value, _ = strconv.ParseFloat(string(m[1]), 64)
	}
	for _, m := range glpkNodes.FindAllStringSubmatch(text, -1) {
		out.nodes, _ = strconv.Atoi(m[2])
	}
	return out
}

func runCBC(path string) answer {
	text, took := solve("cbc", path, "ratioGap", "0", "allowableGap", "0", "primalT", "1e-9", "solve", "quit")
	out := answer{took: took, infeasible: strings.Contains(text, "infeasible")}
	if m := cbcValue.FindStringSubmatch(text); m != nil {
		out.value, _ = strconv.ParseFloat(m[1], 64)
		out.infeasible = false
	}
	if m := cbcNodes.FindStringSubmatch(text); m != nil {
		out.nodes, _ = strconv.Atoi(m[1])
	}
	return out
}
