package schedule

import "strings"

// minorDigits are the decimals of each currency's minor unit (ISO 4217, list one; from memory). Codes not named with
// another number have 2.
var minorDigits = func() map[string]int32 {
	m := map[string]int32{}
	for digits, codes := range map[int32]string{
		0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
		2: "AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF CHF CNY COP CRC " +
			"CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD " +
			"KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO " +
			"NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL " +
			"THB TJS TMT TOP TRY TTD TWD TZS UAH USD UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG",
		3: "BHD IQD JOD KWD LYD OMR TND",
		4: "CLF UYW",
	} {
		for _, code := range strings.Fields(codes) {
			m[code] = digits
		}
	}
	return m
}()

// currencies are the codes, for suggestions.
var currencies = func() []string {
	var codes []string
	for code := range minorDigits {
		codes = append(codes, code)
	}
	return codes
}()
