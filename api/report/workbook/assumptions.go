package workbook

import "swardcase/model"

// assumptionsSheet lists every constant that the appraisal took on trust.
func assumptionsSheet(a model.Appraisal) *sheet {
	s := newSheet("Assumptions", 60, 44, 16, 11, 11, 11, 26, 60, 30)
	s.title("Assumptions", "What the appraisal takes on trust, as it was used. A case may replace any of them; changing one here changes nothing: appraise anew.")
	s.heading("Meaning", "Name", "Unit", ">Low", ">Likely", ">High", "Basis", "Source", "Replaced by the case, because")
	s.freeze()
	for _, assumed := range a.Assumptions {
		replaced := ""
		if assumed.Overridden {
			if replaced = assumed.Reason; replaced == "" {
				replaced = "replaced; no reason is given"
			}
		}
		row := s.add(wrapped(assumed.Meaning), text(assumed.Name), wrapped(assumed.Unit), number(assumed.Low, general), number(assumed.Likely, general),
			number(assumed.High, general), wrapped(assumed.Basis.Words()), wrapped(assumed.Source), wrapped(replaced))
		for column, words := range map[int]string{0: assumed.Meaning, 2: assumed.Unit, 7: assumed.Source, 8: replaced} {
			s.grow(row, column, words)
		}
	}
	return s
}
