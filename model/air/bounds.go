package air

// within says whether v lies in [low, high]. It is false for what is not a
// number, so that no such value passes a range check.
func within(v, low, high float64) bool { return v >= low && v <= high }
