/**
 * Digits after the decimal point for every currency of ISO 4217 that people pay with, and its units of account; precious metals and
 * test codes have none and are left out. Source: ISO 4217, list one, as of 2025 (XCG included; ANG and BGN kept for old books).
 * Never from a display library: the digits that a locale likes to show differ from these for sixteen currencies.
 */
const withTwoDigits =
  'AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF CHW CNY COP COU ' +
  'CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR ' +
  'KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK ' +
  'PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS UAH USD ' +
  'USN UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG';
const withNone = 'BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF';
const withThree = 'BHD IQD JOD KWD LYD OMR TND';
const withFour = 'CLF UYW';

const entries = (codes: string, digits: number): [string, number][] =>
  codes.split(' ').map((currency) => [currency, digits]);

/** Currency code to digits after the decimal point. */
export const currencyDigits: ReadonlyMap<string, number> = new Map([
  ...entries(withTwoDigits, 2),
  ...entries(withNone, 0),
  ...entries(withThree, 3),
  ...entries(withFour, 4),
]);
