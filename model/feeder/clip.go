package feeder

import (
	"fmt"
	"math"
)

// UsualTipHeightM is the rod tip's usual height above the water. Common
// practice, no source.
const UsualTipHeightM = 1.0

// HorizontalRangeM returns how far out the feeder lands, in m, when the line is
// clipped at clipM and the feeder falls on a tight line through depthM of water
// from a tip tipHeightM above it: sqrt(clip^2 - (depth + tip height)^2). It
// refuses negative or non-finite figures and a clip shorter than the drop.
func HorizontalRangeM(clipM, depthM, tipHeightM float64) (float64, error) {
	if err := within("clip_distance_m", clipM, 0, mostDistanceM, "give the clipped line in metres, 0 to 200"); err != nil {
		return 0, err
	}
	if err := within("depth_m", depthM, 0, mostDepthM, "give the depth in metres, 0 to 100"); err != nil {
		return 0, err
	}
	if err := within("tip_height_m", tipHeightM, 0, 10, "give the tip's height over the water in metres, 0 to 10"); err != nil {
		return 0, err
	}
	dropM := depthM + tipHeightM
	if clipM < dropM {
		return 0, &FieldError{
			Field:   "clip_distance_m",
			Problem: fmt.Sprintf("is %g", clipM),
			Remedy:  fmt.Sprintf("the feeder hangs clear of the bottom unless it is at least %g m, depth and tip height together", dropM),
		}
	}
	return math.Sqrt(clipM*clipM - dropM*dropM), nil
}
