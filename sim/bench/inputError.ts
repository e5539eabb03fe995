/** What the user gave cannot be used. Commands print `problems`, one a line, and end with 2. */
export class InputError extends Error {
  readonly problems: string[]

  constructor(problems: string[]) {
    super(problems.join('\n'))
    this.name = 'InputError'
    this.problems = problems
  }
}

/** Why a file could not be read, in words, with what to do. */
export function unreadable(path: string, cause: unknown): string {
  const code = (cause as { code?: string }).code
  if (code === 'ENOENT') return `${path}: no such file; check the name and the folder`
  if (code === 'EISDIR') return `${path}: this is a folder; name a file in it`
  if (code === 'EACCES' || code === 'EPERM') return `${path}: no permission to read it; change its permissions`
  return `${path}: cannot be read (${code ?? String(cause)})`
}
