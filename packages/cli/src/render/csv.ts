/**
 * Rows as CSV (RFC 4180, lines ended by LF): raw numbers, empty for unknown, text quoted on need.
 * Text that a spreadsheet would take for a formula gets an apostrophe in front (common practice).
 */
export function csv(
  head: readonly string[],
  rows: readonly (readonly (string | number | boolean | null | undefined)[])[],
): string {
  const cell = (value: string | number | boolean | null | undefined): string => {
    if (value === null || value === undefined) return '';
    const text =
      typeof value === 'string' && /^[=+\-@\t\r]/.test(value) ? `'${value}` : String(value);
    return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  };
  return [head, ...rows].map((row) => row.map(cell).join(',') + '\n').join('');
}
