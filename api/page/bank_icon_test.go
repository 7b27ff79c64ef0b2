package page_test

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

var writeIcons = flag.Bool("write-icons", false, "draw the icons of the bankside page anew")

// iconSides are the sides of the pictures in pixels: those that the manifest
// names, and the one that some phones take for the home screen from a link alone.
var iconSides = []int{180, 192, 512}

// Some phones put only pictures on the home screen, no drawings. go generate
// draws them from the one drawing; this fails when they are not what it shows.
func TestTheIconsAreDrawnFromTheDrawing(t *testing.T) {
	drawing, err := readDrawing([]byte(text(t, "/bank/icon.svg")))
	if err != nil {
		t.Fatal(err)
	}
	for _, side := range iconSides {
		want, name := drawing.picture(side), fmt.Sprintf("icon-%d.png", side)
		if *writeIcons {
			var body bytes.Buffer
			if err := png.Encode(&body, want); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join("bank", name), body.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		got, err := png.Decode(strings.NewReader(text(t, "/bank/"+name)))
		if err != nil {
			t.Fatalf("%s: %v; go generate ./api/page draws it", name, err)
		}
		if !samePicture(want, got) {
			t.Errorf("%s is not what icon.svg shows; go generate ./api/page draws it anew", name)
		}
	}
}

// A drawing that cannot be drawn is refused, or the icons would lack a part.
func TestADrawingOfOtherThingsIsRefused(t *testing.T) {
	for says, svg := range map[string]string{
		"circle":         `<svg viewBox="0 0 64 64"><circle r="3"/></svg>`,
		"opacity":        `<svg viewBox="0 0 64 64"><rect width="64" height="64" fill="#ffffff" opacity="0.5"/></svg>`,
		"stroke-linecap": `<svg viewBox="0 0 64 64"><g fill="none" stroke="#000000" stroke-width="5" stroke-linecap="round"></g></svg>`,
		"M8 20l3 4":      `<svg viewBox="0 0 64 64"><g fill="none" stroke="#000000" stroke-width="5"><path d="M8 20l3 4"/></g></svg>`,
		"red":            `<svg viewBox="0 0 64 64"><rect width="64" height="64" fill="red"/></svg>`,
		"0 0 64 32":      `<svg viewBox="0 0 64 32"></svg>`,
		"inner":          `<svg viewBox="0 0 64 64"><g fill="none" stroke="#000000" stroke-width="5"><inner/></g></svg>`,
		"syntax error":   `<svg viewBox="0 0 64 64"><rect`,
	} {
		if _, err := readDrawing([]byte(svg)); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: error %v, want one that names %q", svg, err, says)
		}
	}
}

// A dash of 3 in every 5 on a line of 2 across 8: a pixel half covered is half
// way between the colours.
func TestAPictureIsDrawnToHalfAPixel(t *testing.T) {
	d, err := readDrawing([]byte(`<svg viewBox="0 0 8 8"><rect width="8" height="8" fill="#ffffff"/><g fill="none" stroke="#000000" stroke-width="2"><path d="M1 2h6" stroke-dasharray="3 2"/></g></svg>`))
	if err != nil {
		t.Fatal(err)
	}
	p := d.picture(4) // two units of the drawing to a pixel
	for _, c := range []struct{ x, y, want int }{
		{0, 0, 191}, {1, 0, 128}, {2, 0, 255}, {3, 0, 191}, {0, 1, 191}, {1, 1, 128}, {1, 2, 255},
	} {
		if got := p.RGBAAt(c.x, c.y); math.Abs(float64(got.R)-float64(c.want)) > 1 || got.A != 255 {
			t.Errorf("at %d, %d: %v, want %d", c.x, c.y, got, c.want)
		}
	}
}

func TestTheManifestNamesEachIconWithItsSize(t *testing.T) {
	var manifest struct {
		Icons []struct{ Src, Sizes, Type string }
	}
	if err := json.Unmarshal([]byte(text(t, "/bank/manifest.webmanifest")), &manifest); err != nil {
		t.Fatal(err)
	}
	files, named := bank(t, false), map[string]bool{}
	for _, icon := range manifest.Icons {
		f, served := files[icon.Src]
		if !served || f.Type != icon.Type {
			t.Errorf("%s is named as %s, served is %q", icon.Src, icon.Type, f.Type)
		}
		named[icon.Sizes] = true
		if icon.Type != "image/png" {
			continue
		}
		p, err := png.DecodeConfig(bytes.NewReader(f.Body))
		if size := fmt.Sprintf("%dx%d", p.Width, p.Height); err != nil || size != icon.Sizes {
			t.Errorf("%s is %s (%v), named as %s", icon.Src, size, err, icon.Sizes)
		}
	}
	if !named["any"] || !named["192x192"] || !named["512x512"] {
		t.Errorf("sizes %v, want any, 192x192 and 512x512", named)
	}
	if !strings.Contains(text(t, "/bank"), `<link rel="apple-touch-icon" sizes="180x180" href="/bank/icon-180.png">`) {
		t.Error("the page does not link the picture for the home screen")
	}
}

func samePicture(a *image.RGBA, b image.Image) bool {
	if a.Bounds() != b.Bounds() {
		return false
	}
	same := image.NewRGBA(a.Bounds())
	draw.Draw(same, same.Bounds(), b, image.Point{}, draw.Src)
	return bytes.Equal(a.Pix, same.Pix)
}

// drawing is as much of an SVG as the icon needs: upright rectangles in one
// colour each, one over the other, in a square.
type drawing struct {
	side  float64
	boxes []box
}

type box struct {
	x0, y0, x1, y1 float64
	colour         color.RGBA
}

// stroked is what a group says of the lines in it.
type stroked struct {
	width  float64
	colour color.RGBA
}

// readDrawing refuses whatever it would not draw as a browser does.
func readDrawing(svg []byte) (drawing, error) {
	var d drawing
	var lines stroked
	for in := xml.NewDecoder(bytes.NewReader(svg)); ; {
		token, err := in.Token()
		if errors.Is(err, io.EOF) {
			return d, nil
		}
		if err != nil {
			return d, err
		}
		if element, begins := token.(xml.StartElement); begins {
			if err := d.take(element, &lines); err != nil {
				return d, err
			}
		}
	}
}

func (d *drawing) take(e xml.StartElement, lines *stroked) error {
	said := map[string]string{}
	for _, a := range e.Attr {
		said[a.Name.Local] = a.Value
	}
	only := func(names ...string) error {
		for name := range said {
			if !strings.Contains(" "+strings.Join(names, " ")+" ", " "+name+" ") {
				return fmt.Errorf("<%s %s=%q> is not drawn here", e.Name.Local, name, said[name])
			}
		}
		return nil
	}
	switch e.Name.Local {
	case "svg":
		n, err := fmt.Sscanf(said["viewBox"], "0 0 %g", &d.side)
		if n != 1 || err != nil || said["viewBox"] != fmt.Sprintf("0 0 %g %g", d.side, d.side) {
			return fmt.Errorf("the view is %q, want a square from 0 0", said["viewBox"])
		}
		return only("xmlns", "viewBox")
	case "rect":
		c, err := colourOf(said["fill"])
		if err != nil {
			return err
		}
		d.boxes = append(d.boxes, box{0, 0, number(said["width"]), number(said["height"]), c})
		return only("width", "height", "fill")
	case "g":
		c, err := colourOf(said["stroke"])
		if err != nil {
			return err
		}
		*lines = stroked{number(said["stroke-width"]), c}
		return only("fill", "stroke", "stroke-width")
	case "path":
		if err := only("d", "stroke-dasharray"); err != nil {
			return err
		}
		return d.path(said["d"], said["stroke-dasharray"], *lines)
	}
	return fmt.Errorf("<%s> is not drawn here", e.Name.Local)
}

var (
	level = regexp.MustCompile(`M([0-9.]+) ([0-9.]+)([hv])([0-9.]+)`)
	sixes = regexp.MustCompile(`^#[0-9a-f]{6}$`)
)

// path draws lines that run right or down, cut square, solid or dashed.
func (d *drawing) path(text, dashes string, lines stroked) error {
	if level.ReplaceAllString(text, "") != "" {
		return fmt.Errorf("the path %q is not of level and upright lines", text)
	}
	for _, m := range level.FindAllStringSubmatch(text, -1) {
		x, y, long := number(m[1]), number(m[2]), number(m[4])
		on, off := long, 0.0
		if dashes != "" {
			if n, err := fmt.Sscanf(dashes, "%g %g", &on, &off); n != 2 || err != nil || !(on > 0) {
				return fmt.Errorf("the dashes %q are not two lengths", dashes)
			}
		}
		for from := 0.0; from < long; from += on + off {
			to, half := math.Min(from+on, long), lines.width/2
			b := box{x + from, y - half, x + to, y + half, lines.colour}
			if m[3] == "v" {
				b = box{x - half, y + from, x + half, y + to, lines.colour}
			}
			d.boxes = append(d.boxes, b)
		}
	}
	return nil
}

// number is 0 for what is none, so that nothing is drawn and the icons differ.
func number(text string) float64 {
	f, _ := strconv.ParseFloat(text, 64)
	return f
}

func colourOf(text string) (color.RGBA, error) {
	if !sixes.MatchString(text) {
		return color.RGBA{}, fmt.Errorf("the colour %q is not of six figures", text)
	}
	v, err := strconv.ParseUint(text[1:], 16, 32)
	return color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255}, err
}

// picture draws it; a pixel that a rectangle covers in part is mixed.
func (d drawing) picture(side int) *image.RGBA {
	p := image.NewRGBA(image.Rect(0, 0, side, side))
	scale := float64(side) / d.side
	for _, b := range d.boxes {
		for y := range side {
			down := overlap(y, b.y0*scale, b.y1*scale)
			for x := 0; x < side && down > 0; x++ {
				if share := down * overlap(x, b.x0*scale, b.x1*scale); share > 0 {
					p.SetRGBA(x, y, mix(p.RGBAAt(x, y), b.colour, share))
				}
			}
		}
	}
	return p
}

// overlap is how much of the pixel from i to i+1 lies between two edges.
func overlap(i int, from, to float64) float64 {
	return math.Max(0, math.Min(float64(i+1), to)-math.Max(float64(i), from))
}

func mix(under, over color.RGBA, share float64) color.RGBA {
	m := func(a, b uint8) uint8 { return uint8(math.Round(float64(a) + (float64(b)-float64(a))*share)) }
	return color.RGBA{m(under.R, over.R), m(under.G, over.G), m(under.B, over.B), m(under.A, over.A)}
}
