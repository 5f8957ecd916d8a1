package step_test

import (
	"bufio"
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"beamhelm/drive/step/rig"
)

var update = flag.Bool("update", false, "write the transcripts anew")

// TestTranscripts plays every file of testdata/transcripts: lines beginning
// with '> ' are obeyed, what comes of them must be the lines below each.
func TestTranscripts(t *testing.T) {
	files, err := filepath.Glob("testdata/transcripts/*.txt")
	if err != nil || len(files) < 20 {
		t.Fatalf("%d transcripts, %v", len(files), err)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".txt"), func(t *testing.T) {
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			got := play(t, want)
			if *update {
				if err := os.WriteFile(file, got, 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if !bytes.Equal(got, want) {
				t.Errorf("%s differs; got:\n%s", file, got)
			}
		})
	}
}

func play(t *testing.T, script []byte) []byte {
	var out bytes.Buffer
	r := rig.New(100, 40)
	lines := bufio.NewScanner(bytes.NewReader(script))
	for lines.Scan() {
		line := lines.Text()
		order, found := strings.CutPrefix(line, "> ")
		if !found {
			if strings.HasPrefix(line, "#") || line == "" {
				out.WriteString(line + "\n")
			}
			continue
		}
		told, err := r.Do(order)
		if err != nil {
			t.Fatalf("%v, after:\n%s\nevents %v", err, out.Bytes(), r.Told)
		}
		out.WriteString(line + "\n" + told + "\n")
	}
	return out.Bytes()
}
