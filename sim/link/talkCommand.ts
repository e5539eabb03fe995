/**
 * The work of `talk`: one request to the base, its result as JSON to `out`. What the base refuses is said in words. Gives
 * 0 when it was done, 2 when the base refused it, 1 when the base itself failed; what stands in the way of asking is
 * thrown as `LinkError`.
 */
import { readFileSync } from 'node:fs'
import { ALARMS } from '../../firmware/session/alarmTable.ts'
import { reportLines } from '../bench/check.ts'
import { InputError, unreadable } from '../bench/inputError.ts'
import { checkText, type FileReport } from '../bench/loadFile.ts'
import { portNamed } from './flashCommand.ts'
import { type Link, openLink } from './link.ts'
import { badParams, badRecipe, LinkError, noFirmware } from './messages.ts'
import { greet, noGreeting } from './prompt.ts'
import { type Remote, RemoteError, remoteOver } from './remote.ts'
import { WAITS, type Waits } from './waits.ts'

export interface TalkOptions {
  port?: string
  /** Seconds. */
  timeout?: number
  json?: boolean
}

type Say = (line: string) => void

const DONE = 0
const BASE_FAILED = 1
const REFUSED = 2

/** A board without room for the checker takes a recipe on the word of a laptop of its own version. */
const { version: VERSION } = JSON.parse(readFileSync(new URL('../../package.json', import.meta.url), 'utf8')) as {
  version: string
}

/** Numbered alarms come as this less their number. */
const ALARM_BASE = -31_000

export async function talkCommand(
  method: string,
  json: string | undefined,
  options: TalkOptions,
  out: Say,
  words: Say,
  waits: Waits = WAITS,
): Promise<number> {
  const path = await portNamed(options.port)
  const params = paramsFrom(method, json)
  const link = await openLink(path)
  try {
    const result = await remoteOver(link, waits).request(method, params, options.timeout)
    out(JSON.stringify(result, null, options.json === true ? 0 : 2))
    return DONE
  } catch (thrown) {
    if (thrown instanceof RemoteError) {
      for (const line of refusalLines(method, thrown)) words(line)
      return thrown.code === -32603 ? BASE_FAILED : REFUSED
    }
    throw await whyNoAnswer(thrown, link, waits)
  } finally {
    await link.close()
  }
}

/** A silence, explained by what the prompt says, if it says anything. */
export async function whyNoAnswer(thrown: unknown, link: Link, waits: Waits): Promise<unknown> {
  if (!(thrown instanceof LinkError) || thrown.trouble !== 'noAnswer') return thrown
  const greeting = await greet(link, waits, false).catch(() => undefined)
  if (greeting === undefined) return link.heardCharacters() > 0 && link.messages() > 0 ? thrown : noGreeting(link)
  return greeting.firmware ? thrown : noFirmware(link.path)
}

/** Parameters from the command line. Throws `LinkError` when they are no JSON or no recipe. */
function paramsFrom(method: string, json: string | undefined): unknown {
  if (json === undefined) return undefined
  let text = json
  if (json.startsWith('@')) {
    const file = json.slice(1)
    try {
      text = readFileSync(file, 'utf8')
    } catch (thrown) {
      throw new InputError([unreadable(file, thrown)])
    }
  }
  let params: unknown
  try {
    params = JSON.parse(text)
  } catch (thrown) {
    // A recipe's file is checked as `check` does, which knows the line.
    if (method === 'recipe.put' && json.startsWith('@')) throw badRecipe(reportLines(checkText(json.slice(1), text)))
    throw badParams(text, (thrown as Error).message)
  }
  if (typeof params !== 'object' || params === null) throw badParams(text, 'parameters are an object or a list')
  return method === 'recipe.put' ? recipeParams(params, json, text) : params
}

/** `recipe.put` takes `{ "recipe": … }`; the recipe alone will do. It is checked here, where problems have a line. */
function recipeParams(params: object, name: string, text: string): unknown {
  const wrapped = 'recipe' in params
  const recipe = wrapped ? params.recipe : params
  const report: FileReport = checkText(
    name.startsWith('@') ? name.slice(1) : 'recipe',
    wrapped ? JSON.stringify(recipe, null, 2) : text,
    'recipe',
  )
  if (!report.accepted) throw badRecipe(reportLines(report))
  return { recipe, checkedBy: VERSION }
}

/** What comes with a refusal: problems, each with place, found and allowed, as lines; anything else as it is. */
function dataLines(data: unknown): string[] {
  if (data === undefined || data === null) return []
  if (!Array.isArray(data)) return [JSON.stringify(data)]
  return data.map(one => {
    const { place, found, allowed, hint } = (one ?? {}) as { [key: string]: unknown }
    if (place === undefined || found === undefined) return `  ${JSON.stringify(one)}`
    return `  ${place}: found ${found}; allowed ${allowed}${hint ? ` (${hint})` : ''}`
  })
}

/** A refusal in words, with what to do where that is known. */
export function refusalLines(method: string, { code, message, data }: RemoteError): string[] {
  const more = dataLines(data)
  switch (code) {
    case -32700:
    case -32600:
      return [`${method}: the base could not read the request (${message}). Try again; the line may be noisy.`, ...more]
    case -32601:
      return [`${method}: the base knows no such method. \`talk --port … describe\` lists those it knows.`, ...more]
    case -32602:
      return [`${method}: the parameters are not right: ${message}`, ...more]
    case -32603:
      return [`${method}: the base failed at it (${message}). Please report it, with what \`describe\` says.`, ...more]
  }
  const alarm = ALARMS.find(one => ALARM_BASE - one.number === code)
  if (alarm !== undefined) return [`${method}: refused, alarm ${alarm.number} ${alarm.name}: ${alarm.short}`, ...more]
  return [`${method}: refused: ${message}`, ...more]
}

export type { Remote }
