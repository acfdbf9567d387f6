package pages

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"github.com/labstack/echo/v4"

	"swardcase/api/service"
)

//go:embed assets
var assetFiles embed.FS

// assetsPath is where the files of the pages are served.
const assetsPath = "/assets/"

// assetMedia are the kinds of file that are served, by their ending.
var assetMedia = map[string]string{
	".css": "text/css; charset=utf-8",
	".js":  "text/javascript; charset=utf-8",
	".svg": "image/svg+xml",
}

// asset is one file as it is served.
type asset struct {
	body  []byte
	media string
}

// assets are the files by the name under which they are served. It has part of
// the hash of the file in it, so that a browser may keep the file for good: one
// that changes has another address.
type assets struct {
	served map[string]asset
	named  map[string]string // plain name to served name
}

func readAssets() (assets, error) {
	out := assets{served: map[string]asset{}, named: map[string]string{}}
	entries, err := fs.ReadDir(assetFiles, "assets")
	if err != nil {
		return out, fmt.Errorf("read the files of the pages: %w", err)
	}
	for _, entry := range entries {
		body, err := assetFiles.ReadFile("assets/" + entry.Name())
		if err != nil {
			return out, fmt.Errorf("read the files of the pages: %w", err)
		}
		ending := path.Ext(entry.Name())
		media, known := assetMedia[ending]
		if !known {
			return out, fmt.Errorf("the file %s of the pages is of no kind that is served", entry.Name())
		}
		sum := sha256.Sum256(body)
		served := strings.TrimSuffix(entry.Name(), ending) + "-" + hex.EncodeToString(sum[:8]) + ending
		out.served[served] = asset{body, media}
		out.named[entry.Name()] = served
	}
	return out, nil
}

// address is where a file is served; an unknown name is a mistake in a template.
func (a assets) address(name string) (string, error) {
	served, known := a.named[name]
	if !known {
		return "", fmt.Errorf("the pages have no file %q", name)
	}
	return assetsPath + served, nil
}

// getAsset serves one file, to be kept for a year.
func (p *Pages) getAsset(v Visit) error {
	file, known := p.assets.served[v.Param("name")]
	if !known {
		return &service.Error{Kind: service.NotFound, Detail: "The pages have no such file."}
	}
	v.Response().Header().Set(echo.HeaderCacheControl, "public, max-age=31536000, immutable")
	return send(v, 200, file.media, file.body)
}
