package api

import (
	"encoding/json"

	"osier/model"
)

// mergePatch applies a JSON merge patch (RFC 7396) to a document: a member that
// is null is removed, an object is merged, anything else replaces. Document and
// patch are objects.
func mergePatch(document, patch []byte) ([]byte, error) {
	var target, change map[string]any
	if err := json.Unmarshal(document, &target); err != nil {
		return nil, err
	}
	if err := decodeStrict(patch, &change); err != nil {
		return nil, err
	}
	if change == nil {
		return nil, model.Invalidf("body", "send the members to change, as one object", "the patch is null")
	}
	if target == nil {
		target = map[string]any{}
	}
	merge(target, change)
	return json.Marshal(target)
}

func merge(target, change map[string]any) {
	for name, value := range change {
		inner, isObject := value.(map[string]any)
		switch {
		case value == nil:
			delete(target, name)
		case isObject:
			was, ok := target[name].(map[string]any)
			if !ok {
				was = map[string]any{}
			}
			merge(was, inner)
			target[name] = was
		default:
			target[name] = value
		}
	}
}
