package pages

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"swardcase/api/report"
	"swardcase/api/service"
)

//go:embed templates/*.html
var templateFiles embed.FS

// templates are the pages by name, each joined to the layout.
type templates map[string]*template.Template

// layout is the file of the template that every page fills.
const layout = "layout.html"

// Parts of pages are in files whose names begin with this; every page may use
// them.
const partPrefix = "part_"

// readTemplates joins each page to the layout and the parts.
func readTemplates() (templates, error) {
	base, err := template.New(layout).Funcs(functions()).ParseFS(templateFiles, "templates/"+layout)
	if err != nil {
		return nil, fmt.Errorf("read the layout of the pages: %w", err)
	}
	files, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		return nil, fmt.Errorf("list the pages: %w", err)
	}
	var pages []string
	for _, file := range files {
		switch name := strings.TrimSuffix(path.Base(file), ".html"); {
		case path.Base(file) == layout:
		case strings.HasPrefix(name, partPrefix):
			if _, err := base.ParseFS(templateFiles, file); err != nil {
				return nil, fmt.Errorf("read %s: %w", file, err)
			}
		default:
			pages = append(pages, name)
		}
	}
	out := templates{}
	for _, name := range pages {
		page, err := base.Clone()
		if err == nil {
			page, err = page.ParseFS(templateFiles, "templates/"+name+".html")
		}
		if err != nil {
			return nil, fmt.Errorf("read the page %s: %w", name, err)
		}
		out[name] = page
	}
	return out, nil
}

// Frame is what the layout shows round a page.
type Frame struct {
	// Title stands in the window and is the name of the page; it may not be empty.
	Title string
	// Trail leads from the first page to this one, which is not in it; Here is what
	// this one is called at its end, where that is not the title.
	Trail []Crumb
	Here  string
	// Script names the file of script that the page profits from; empty for none.
	Script string
	// Sheet names a stylesheet that only pages of this kind need; empty for none.
	Sheet string
	// Body is what the page's own template shows.
	Body any

	signedIn string
}

// Crumb is one step of a trail.
type Crumb struct {
	Words   string
	Address string
}

// view is what a template is carried out on.
type view struct {
	Frame
	Language  string
	Style     string // address of the stylesheet
	Mark      string // address of the icon
	ScriptURL string
	SheetURL  string
}

// SignedIn names whoever signed in; empty where nobody has to.
func (f Frame) SignedIn() string { return f.signedIn }

// signedIn names whoever signed in, without the id of the key.
func signedIn(v Visit) string {
	caller, known := service.CallerOf(v.Request().Context())
	if !known || caller.Role == service.RoleLocal {
		return ""
	}
	label := caller.Who
	if at := strings.LastIndex(label, " (key "); at > 0 {
		label = label[:at]
	}
	return label + ", " + string(caller.Role)
}

// styleFile is the one stylesheet.
const styleFile = "pages.css"

// language is the language of the pages; numbers are written in its style.
const language = "en-GB"

// contentPolicy lets a page load nothing but what this server serves beside it:
// no script and no style within the page (Content Security Policy Level 3).
const contentPolicy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; " +
	"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// show sends a page. It is written out before the status is sent, so that a page
// which cannot be written becomes a problem and not half a page.
func (p *Pages) show(v Visit, status int, name string, frame Frame) error {
	frame.signedIn = signedIn(v)
	body, err := p.render(name, frame)
	if err != nil {
		return err
	}
	header := v.Response().Header()
	header.Set(echo.HeaderContentSecurityPolicy, contentPolicy)
	// An address may hold the token of a share link: it is told to nobody else.
	header.Set("Referrer-Policy", "same-origin")
	header.Set(echo.HeaderCacheControl, "no-store")
	header.Add(echo.HeaderVary, "Accept")
	return send(v, status, echo.MIMETextHTMLCharsetUTF8, body)
}

func (p *Pages) render(name string, frame Frame) ([]byte, error) {
	page, known := p.templates[name]
	if !known {
		return nil, fmt.Errorf("there is no page %q", name)
	}
	filled := view{Frame: frame, Language: language}
	for _, file := range []struct {
		to   *string
		name string
	}{{&filled.Style, styleFile}, {&filled.Mark, "mark.svg"}, {&filled.ScriptURL, frame.Script}, {&filled.SheetURL, frame.Sheet}} {
		if file.name == "" {
			continue
		}
		var err error
		if *file.to, err = p.assets.address(file.name); err != nil {
			return nil, err
		}
	}
	var out bytes.Buffer
	if err := page.ExecuteTemplate(&out, layout, filled); err != nil {
		return nil, fmt.Errorf("write the page %s: %w", name, err)
	}
	return out.Bytes(), nil
}

// send writes a whole body with its length, so that an answer to HEAD states it
// too.
func send(v Visit, status int, media string, body []byte) error {
	v.Response().Header().Set(echo.HeaderContentLength, strconv.Itoa(len(body)))
	if v.Request().Method == http.MethodHead {
		v.Response().Header().Set(echo.HeaderContentType, media)
		return v.NoContent(status)
	}
	return v.Blob(status, media, body)
}

// functions are what templates may call.
func functions() template.FuncMap {
	return template.FuncMap{
		"sentence": report.Sentence,
		"join":     report.Joined,
		"about":    about,
		"exact":    exact,
	}
}
