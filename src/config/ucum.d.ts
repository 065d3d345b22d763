/** The part of the UCUM library that is used; it comes without types. */
declare module '@lhncbc/ucum-lhc' {
  interface UcumLhcUtils {
    validateUnitString(code: string): { readonly status: 'valid' | 'invalid' | 'error' };
    convertUnitTo(from: string, value: number, to: string): { readonly status: string; readonly toVal: number | null };
  }
  const ucum: { readonly UcumLhcUtils: { getInstance(): UcumLhcUtils } };
  export default ucum;
}
