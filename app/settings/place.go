package settings

import (
	"fmt"
	"sort"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// lines tells in which line of a file each key stands.
type lines struct {
	starts []int // offset at which each line begins
	at     map[string]int
	lists  map[string]int // members seen so far of each list of sections
	parser unstable.Parser
}

// linesOf goes through a file that is known to be TOML.
func linesOf(text []byte) *lines {
	l := &lines{starts: []int{0}, at: map[string]int{}, lists: map[string]int{}}
	for i, b := range text {
		if b == '\n' {
			l.starts = append(l.starts, i+1)
		}
	}
	l.parser.Reset(text)
	section := ""
	for l.parser.NextExpression() {
		expression := l.parser.Expression()
		switch expression.Kind {
		case unstable.Table:
			section = l.note(expression, "", false)
		case unstable.ArrayTable:
			section = l.note(expression, "", true)
		case unstable.KeyValue:
			l.value(expression.Value(), l.note(expression, section, false))
		}
	}
	return l
}

// maxDeep is how many steps down a key is followed: deeper than any key of
// the settings, so that a file made to be deep takes no time.
const maxDeep = 12

func deep(key string) int { return strings.Count(key, ".") + strings.Count(key, "[") }

// note remembers where a key stands and returns it whole. Every section on the
// way that hasn't been named before is taken to stand there too.
func (l *lines) note(node *unstable.Node, key string, member bool) string {
	for parts := node.Key(); parts.Next() && deep(key) < maxDeep; {
		part := parts.Node()
		key = joined(key, bare(string(part.Data)))
		line := sort.SearchInts(l.starts, int(part.Raw.Offset)+1)
		if l.lists[key] == 0 || member && parts.IsLast() {
			l.remember(key, line)
		}
		if member && parts.IsLast() {
			l.lists[key]++
		}
		if count := l.lists[key]; count > 0 {
			key = fmt.Sprintf("%s[%d]", key, count-1)
			l.remember(key, line)
		}
	}
	return key
}

// value goes into inline tables, and into lists of them.
func (l *lines) value(node *unstable.Node, key string) {
	if deep(key) >= maxDeep {
		return
	}
	switch node.Kind {
	case unstable.InlineTable:
		for members := node.Children(); members.Next(); {
			l.value(members.Node().Value(), l.note(members.Node(), key, false))
		}
	case unstable.Array:
		members := node.Children()
		for i := 0; members.Next(); i++ {
			l.value(members.Node(), fmt.Sprintf("%s[%d]", key, i))
		}
	}
}

func (l *lines) remember(key string, line int) {
	if _, known := l.at[key]; !known {
		l.at[key] = line
	}
}

// of is the line of a key, or of the section it would stand in; 1 where there is none.
func (l *lines) of(key string) int {
	for key != "" {
		if line, known := l.at[key]; known {
			return line
		}
		key = key[:max(0, strings.LastIndexAny(key, ".["))]
	}
	return 1
}

// bare writes one part of a key so that it can't be taken for several: quoted
// where TOML would need it.
func bare(part string) string {
	plain := part != "" && !strings.ContainsFunc(part, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '_' || r == '-')
	})
	if plain {
		return part
	}
	// Points and brackets would read as steps.
	return strings.NewReplacer(".", `\u002E`, "[", `\u005B`).Replace(fmt.Sprintf("%q", part))
}
