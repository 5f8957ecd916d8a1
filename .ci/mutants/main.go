// Command mutants plants every fault of a table in the code, one at a time, and
// tells whether the tests catch it. A fault that can't be planted or doesn't
// build is a mistake in the table, and fails as one that isn't caught.
//
//	go run ./.ci/mutants [-rows] [-skip REGEXP] [-o RESULT] [WORDS]
//
// With -rows nothing is planted: it only looks whether every fault still can be.
// With -skip the tests that match are left out: so is seen which faults only they
// catch. With WORDS only the faults whose line holds them are planted, and the others
// keep their line in RESULT. The table is
// faults.txt beside this file: a comment line says what is wrong, a line names
// file and packages, then the text taken away begins with '- ' and that put in its
// place with '+ '. The tree itself isn't touched.
package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
)

// table is where the faults stand, from the root.
const table = ".ci/mutants/faults.txt"

// fault is one row of the table.
type fault struct {
	words    string
	file     string
	packages []string
	old, new string
}

func main() {
	out := flag.String("o", "", "write the result to this file too")
	skip := flag.String("skip", "", "leave out the tests that match")
	only := flag.Bool("rows", false, "only look whether every fault can be planted")
	flag.Parse()
	faults, err := read()
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(2)
	}
	var wanted []fault
	for _, f := range faults {
		if strings.Contains(f.words+f.file, strings.Join(flag.Args(), " ")) {
			wanted = append(wanted, f)
		}
	}
	if *only {
		os.Exit(look(wanted))
	}
	results := make([]string, len(wanted))
	var wait sync.WaitGroup
	turns := make(chan struct{}, 2)
	for i, f := range wanted {
		wait.Go(func() {
			turns <- struct{}{}
			defer func() { <-turns }()
			results[i] = f.plant(*skip)
			fmt.Printf("%-12s %s: %s\n", results[i], f.file, f.words)
		})
	}
	wait.Wait()
	came, caught := map[string]string{}, 0
	for i, f := range wanted {
		if came[f.line()] = results[i]; strings.HasPrefix(results[i], "caught") {
			caught++
		}
	}
	fmt.Printf("%d of %d planted faults caught\n", caught, len(wanted))
	if *out != "" {
		if err := write(*out, faults, came); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(2)
		}
	}
	if caught < len(wanted) {
		os.Exit(1)
	}
}

// line is how a fault's line begins in the result.
func (f fault) line() string { return f.file + " | " + f.words + " | " }

// write writes what came of the faults; one that was not planted keeps what came of it last.
func write(path string, faults []fault, came map[string]string) error {
	former, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	var b strings.Builder
	b.WriteString("# Made by 'go run ./.ci/mutants -o': file | fault | result\n")
	caught := 0
	for _, f := range faults {
		result, planted := came[f.line()]
		if !planted {
			result = "not run"
			if _, rest, has := strings.Cut("\n"+string(former), "\n"+f.line()); has {
				result, _, _ = strings.Cut(rest, "\n")
			}
		}
		if strings.HasPrefix(result, "caught") {
			caught++
		}
		b.WriteString(f.line() + result + "\n")
	}
	fmt.Fprintf(&b, "%d of %d planted faults caught\n", caught, len(faults))
	return os.WriteFile(path, []byte(b.String()), 0o644)
}

// look tells the faults whose text is not found, or not once, and returns the exit status.
func look(faults []fault) (status int) {
	for _, f := range faults {
		if _, err := f.spoilt(); err != nil {
			fmt.Printf("%s: %s: %v\n", f.file, f.words, err)
			status = 1
		}
	}
	return status
}

// spoilt returns the file with the fault in it.
func (f fault) spoilt() (string, error) {
	text, err := os.ReadFile(f.file)
	if err != nil {
		return "", err
	}
	old, fresh := strings.TrimSuffix(f.old, "\n"), strings.TrimSuffix(f.new, "\n")
	if n := strings.Count(string(text), old); old == "" || n != 1 {
		return "", fmt.Errorf("NOT PLANTED: found %d times", n)
	}
	return strings.Replace(string(text), old, fresh, 1), nil
}

// read reads the table.
func read() (all []fault, err error) {
	file, err := os.Open(table)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	var f fault
	end := func() {
		if f.file != "" {
			all = append(all, f)
		}
		f = fault{}
	}
	lines := bufio.NewScanner(file)
	for lines.Scan() {
		line := lines.Text()
		switch {
		case strings.HasPrefix(line, "# "):
			end()
			f.words = line[2:]
		case strings.HasPrefix(line, "- "):
			f.old += line[2:] + "\n"
		case strings.HasPrefix(line, "+ "):
			f.new += line[2:] + "\n"
		case line != "":
			words := strings.Fields(line)
			f.file, f.packages = words[0], words[1:]
		}
	}
	end()
	return all, lines.Err()
}

// failed finds the test that failed first.
var failed = regexp.MustCompile(`(?m)^--- FAIL: (\w+)`)

// plant plants the fault in an overlay and says what came of it. The tests that match skip are left out.
func (f fault) plant(skip string) string {
	text, err := f.spoilt()
	if err != nil {
		return err.Error()
	}
	dir, err := os.MkdirTemp("", "mutant")
	if err != nil {
		return err.Error()
	}
	defer os.RemoveAll(dir)
	mutant, overlay := filepath.Join(dir, filepath.Base(f.file)), filepath.Join(dir, "overlay.json")
	from, _ := filepath.Abs(f.file)
	replaced, _ := json.Marshal(map[string]map[string]string{"Replace": {from: mutant}})
	if err := os.WriteFile(mutant, []byte(text), 0o600); err != nil {
		return err.Error()
	}
	if err := os.WriteFile(overlay, replaced, 0o600); err != nil {
		return err.Error()
	}
	for _, p := range f.packages {
		args := []string{"test", "-vet=off", "-overlay", overlay, "-failfast", "-timeout", "5m", "-skip", skip, p}
		said, err := exec.Command("go", args...).CombinedOutput()
		if err == nil {
			continue
		}
		if strings.Contains(string(said), "[build failed]") {
			return "NOT PLANTED: does not build"
		}
		if name := failed.FindSubmatch(said); name != nil {
			return "caught by " + string(name[1])
		}
		return "caught"
	}
	return "NOT caught"
}
