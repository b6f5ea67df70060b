package painting

import (
	"regexp"
	"strings"
	"testing"
)

// Terms that belong to tests on panels: through-dry, surface-dry, print-free and
// the stages of ISO 9117 (parts 1, 3 and 5), and the drying stages that ASTM D1640
// names (set-to-touch, dust-free, tack-free, dry-to-touch, dry-hard, dry-through,
// dry-to-recoat, print-free). From memory. No reason of ours may claim one: nobody
// has tested a palette for them.
var panelTerms = regexp.MustCompile(`(?i)\b(through[- ]dry|surface[- ]dry|hard[- ]dry|dry[- ]hard|dry[- ]through|dry[- ]to[- ](touch|handle|recoat)|set[- ]to[- ]touch|dust[- ]free|tack[- ]free|print[- ]free|fully cured)\b`)

func TestReasonsClaimNoTest(t *testing.T) {
	for _, r := range Rules {
		if m := panelTerms.FindString(r.Reason); m != "" {
			t.Errorf("%s says %q, which is the result of a test", r.ID, m)
		}
		if strings.HasSuffix(r.Reason, ".") || r.Reason == "" {
			t.Errorf("%s: %q is to be one sentence without its full stop", r.ID, r.Reason)
		}
	}
	if panelTerms.FindString("wait until it is through-dry") == "" {
		t.Error("the pattern finds nothing")
	}
}
