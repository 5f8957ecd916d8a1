package help

import (
	"path"
	"regexp"
	"slices"
	"strings"
)

// block is a piece of a page: prose as Markdown, a table, or a picture.
type block struct {
	prose   string
	table   [][]string // the head first
	picture string     // its file
	caption string
}

var (
	links    = regexp.MustCompile(`\[([^\]]*)\]\(([^)]*)\)`)
	pictures = regexp.MustCompile(`!\[([^\]]*)\]\(([^)]*)\)`)
	comments = regexp.MustCompile(`(?s)<!--.*?-->`)
)

// blocks takes a page apart. Links are their words; where they lead is told by leads.
func blocks(text string) (all []block) {
	var prose strings.Builder
	var table [][]string
	end := func() {
		if words := strings.TrimSpace(prose.String()); words != "" {
			all = append(all, block{prose: words})
		}
		prose.Reset()
		if len(table) > 0 {
			all = append(all, block{table: table})
		}
		table = nil
	}
	for line := range strings.Lines(comments.ReplaceAllString(text, "")) {
		line = strings.TrimPrefix(strings.TrimPrefix(line, ">"), " ") // a caution is a paragraph here
		trimmed := strings.TrimSpace(line)
		if picture := pictures.FindStringSubmatch(trimmed); picture != nil {
			end()
			all = append(all, block{picture: picture[2], caption: picture[1]})
			continue
		}
		if !strings.HasPrefix(trimmed, "|") {
			if len(table) > 0 {
				end()
			}
			prose.WriteString(links.ReplaceAllString(line, "$1"))
			continue
		}
		if len(table) == 0 {
			end()
		}
		if cells := cellsOf(trimmed); cells != nil {
			table = append(table, cells)
		}
	}
	end()
	return all
}

// cellsOf are the cells of a line of a table; nil for the rule below its head.
func cellsOf(line string) []string {
	cells := strings.Split(strings.Trim(line, "|"), "|")
	if strings.Trim(strings.Join(cells, ""), "-: ") == "" {
		return nil
	}
	for i := range cells {
		words := links.ReplaceAllString(strings.TrimSpace(cells[i]), "$1")
		cells[i] = strings.NewReplacer("**", "", "`", "").Replace(words)
	}
	return cells
}

// leads are the pages that a page links to, by the names of their files, each once.
func leads(text string) (names []string) {
	for _, link := range links.FindAllStringSubmatch(pictures.ReplaceAllString(text, ""), -1) {
		file, _, _ := strings.Cut(link[2], "#")
		if path.Ext(file) == ".md" && !slices.Contains(names, path.Base(file)) {
			names = append(names, path.Base(file))
		}
	}
	return names
}
