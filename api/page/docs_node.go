package page

import (
	"fmt"
	"strings"
)

func docNode(v any) node {
	n, _ := v.(node)
	return n
}

// docUnder is the part at a path of keys, nil where there is none.
func docUnder(n node, path ...string) node {
	for _, key := range path {
		n = docNode(docValue(n, key))
	}
	return n
}

func docValue(n node, key string) any {
	for _, item := range n {
		if fmt.Sprint(item.Key) == key {
			return item.Value
		}
	}
	return nil
}

// docText is a value as text, empty where there is none or where it is no single
// value.
func docText(n node, key string) string {
	switch v := docValue(n, key).(type) {
	case nil, node, []any:
		return ""
	default:
		return strings.TrimSpace(fmt.Sprint(v))
	}
}

// docList is a list of parts.
func docList(n node, key string) []node {
	items, _ := docValue(n, key).([]any)
	var parts []node
	for _, item := range items {
		parts = append(parts, docNode(item))
	}
	return parts
}

// docTexts are a list of texts, or the one where a single one stands.
func docTexts(n node, key string) []string {
	items, isList := docValue(n, key).([]any)
	if !isList {
		if one := docText(n, key); one != "" {
			return []string{one}
		}
		return nil
	}
	var found []string
	for _, item := range items {
		if item == nil {
			item = "null"
		}
		found = append(found, fmt.Sprint(item))
	}
	return found
}

// docParagraphs parts a text at its empty lines.
func docParagraphs(text string) []string {
	var found []string
	for _, p := range strings.Split(text, "\n\n") {
		if p = strings.Join(strings.Fields(p), " "); p != "" {
			found = append(found, p)
		}
	}
	return found
}
