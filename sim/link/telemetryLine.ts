/** Telemetry as one line for people. Knows the usual names; what it does not know is shown as it came. */
export function telemetryLine(params: unknown): string {
  return typeof params === 'object' && params !== null
    ? Object.entries(params)
        .map(
          ([name, value]) => `${name} ${typeof value === 'number' ? Math.round(value * 1000) / 1000 : String(value)}`,
        )
        .join('  ')
    : String(params)
}
