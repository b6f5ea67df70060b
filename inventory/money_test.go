package inventory

import (
	"strings"
	"testing"
)

// Decimals of the minor unit by ISO 4217, as in the table of facts section 8
// (from memory of the standard): 2 for most, and these exceptions.
func TestMinorDigits(t *testing.T) {
	for digits, codes := range map[int32]string{
		0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
		2: "EUR GBP USD CHF SEK MGA MRU PLN",
		3: "BHD IQD JOD KWD LYD OMR TND",
		4: "CLF UYW",
	} {
		for code := range strings.FieldsSeq(codes) {
			if got, err := MinorDigits(code); err != nil || got != digits {
				t.Errorf("MinorDigits(%s) = %d, %v; want %d", code, got, err, digits)
			}
		}
	}
	for _, code := range []string{"XAU", "XXX", "XTS", "eur", "EU", "EURO", "QQQ", ""} {
		if _, err := MinorDigits(code); err == nil {
			t.Errorf("MinorDigits(%q) takes it for a currency with a minor unit", code)
		}
	}
}

func TestParseMoney(t *testing.T) {
	for _, c := range []struct {
		text, fallback, want string
		minor                int64
	}{
		{"12.50 EUR", "", "12.50 EUR", 1250}, {"EUR 12.5", "", "12.50 EUR", 1250},
		{"12", "EUR", "12.00 EUR", 1200},
		{"1250 JPY", "", "1250 JPY", 1250}, {"1.005 KWD", "", "1.005 KWD", 1005},
		{"-2.00 EUR", "", "-2.00 EUR", -200},
		{"0.10 EUR", "", "0.10 EUR", 10}, {"12.5000 EUR", "", "12.5000 EUR", 1250},
		{"2.95EUR", "", "2.95 EUR", 295}, {"eur2.95", "", "2.95 EUR", 295}, {"2.95 €", "", "2.95 EUR", 295},
		{"€ 3", "GBP", "3.00 EUR", 300}, {"-2EUR", "", "-2.00 EUR", -200},
	} {
		m, err := ParseMoney(c.text, c.fallback)
		if err != nil {
			t.Errorf("ParseMoney(%q): %v", c.text, err)
			continue
		}
		minor, err := m.Minor()
		if err != nil || minor != c.minor || m.String() != c.want {
			t.Errorf("ParseMoney(%q) = %s, %d minor units, %v; want %s, %d",
				c.text, m, minor, err, c.want, c.minor)
		}
		if back := MoneyOfMinor(minor, m.Currency); !back.Equal(m) {
			t.Errorf("%s back from minor units is %s", m, back)
		}
	}
	for text, says := range map[string]string{
		"12.50": "an amount and a currency", "12,50 EUR": "after a point",
		"12.505 EUR": "finer than the smallest", "1.5 JPY": "finer", "1e3 EUR": "plain amount",
		"x EUR": "not a number", "5 XAU": "not a currency", "99999999999999999 EUR": "too large",
		"2.95EURO": "not a currency code", "EUR 2 EUR": "an amount and a currency",
		"1 2 EUR": "not a number", "EUR": "not a number", "": "not a number", "--2EUR": "not a number",
	} {
		if _, err := ParseMoney(text, ""); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("ParseMoney(%q): error %v, want one that says %q", text, err, says)
		}
	}
}

// FuzzParseMoney: what is accepted survives writing and minor units.
func FuzzParseMoney(f *testing.F) {
	for _, s := range []string{"12.50 EUR", "EUR 3", "7 JPY", "-0.5 USD", "1e9 EUR", "0.0001 CLF"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := ParseMoney(s, "EUR")
		if err != nil {
			return
		}
		n, err := m.Minor()
		if err != nil {
			t.Fatalf("%q is accepted, but: %v", s, err)
		}
		if back := MoneyOfMinor(n, m.Currency); !back.Equal(m) {
			t.Fatalf("%q: %s becomes %s", s, m, back)
		}
		if again, err := ParseMoney(m.String(), ""); err != nil || !again.Equal(m) {
			t.Fatalf("%q writes as %q, which reads as %s, %v", s, m, again, err)
		}
	})
}
