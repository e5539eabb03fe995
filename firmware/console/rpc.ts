/**
 * JSON-RPC 2.0 (jsonrpc.org, 2013): from one text to one reply, or none for a notification.
 *
 * The engine's parser takes more than JSON (single quotes, trailing commas, of two equal keys the first), so the shape
 * is looked at after parsing. A batch is refused as a whole: each tick has time for one request. Parameters go by name.
 * Nothing throws; what goes wrong in a method is the standard's internal error. Every reply is printable ASCII.
 */
import type { Base } from '../base.ts'
import { asFields, type Fields, own } from '../recipe/ownKeys.ts'
import { quote } from '../recipe/problem.ts'
import { BAD_PARAMS, type Console, fail, REFUSED } from './consoleState.ts'
import { isTangled } from './frames.ts'
import { METHODS } from './methods.ts'
import { checkParams, isPlain, wrongText } from './params.ts'

const NOT_JSON = -32700
const BAD_REQUEST = -32600
const NO_METHOD = -32601
const INTERNAL = -32603

const ID_CHARACTERS = 64

/** Carries out one request and sends its reply. */
export function answer(line: Console, base: Base, text: string, inSession: boolean): void {
  const whole = text.trim()
  if (whole === '') return
  line.failure = undefined
  const fields = parse(line, whole, inSession)
  const id = own(fields, 'id')
  const isId = id === null || typeof id === 'number' || (isPlain(id) && (id as string).length <= ID_CHARACTERS)
  let result: unknown
  if (fields !== undefined) {
    if (own(fields, 'jsonrpc') !== '2.0' || typeof own(fields, 'method') !== 'string' || !(isId || id === undefined)) {
      fail(line, BAD_REQUEST, 'jsonrpc "2.0", method, id')
    } else {
      result = call(line, base, own(fields, 'method') as string, own(fields, 'params'), inSession)
      // A request without id is a notification: nothing is answered, not even what went wrong.
      if (id === undefined) return
    }
  }
  reply(line, base, isId ? id : null, result)
}

/** The request as an object; undefined when it is none, which is said. */
function parse(line: Console, text: string, inSession: boolean): Fields | undefined {
  if (isTangled(text, inSession)) return fail(line, BAD_REQUEST, 'Too deep or too much')
  let request: unknown
  try {
    // The engine stops at the end of the value and takes whatever follows.
    if ('}]'.indexOf(text.charAt(text.length - 1)) >= 0) request = JSON.parse(text)
  } catch (_) {
    request = undefined
  }
  if (request === undefined) return fail(line, NOT_JSON, 'Not JSON')
  const fields = asFields(request)
  return fields === undefined ? fail(line, BAD_REQUEST, 'One request at a time') : fields
}

function call(line: Console, base: Base, name: string, given: unknown, inSession: boolean): unknown {
  let i = 0
  while (i < METHODS.length && METHODS[i].name !== name) i++
  if (i === METHODS.length) return fail(line, NO_METHOD, 'No method ' + quote(name))
  const method = METHODS[i]
  const params = given === undefined ? {} : asFields(given)
  if (params === undefined) return fail(line, BAD_PARAMS, 'params: by name')
  const wrongs = checkParams(method.params, params)
  if (wrongs.length > 0) return fail(line, BAD_PARAMS, wrongText(wrongs[0]), wrongs)
  if (method.atRest && inSession) return fail(line, REFUSED, 'Not in a session')
  try {
    return method.run(line, base, params)
  } catch (_) {
    line.mishaps++
    return fail(line, INTERNAL, 'Went wrong inside')
  }
}

function reply(line: Console, base: Base, id: unknown, result: unknown): void {
  const failure = line.failure
  if (failure === undefined) send(base, { jsonrpc: '2.0', id: id, result: result })
  else send(base, { jsonrpc: '2.0', id: id, error: failure })
}

/** Says what is wrong with something that was no request. */
export function complain(line: Console, base: Base, message: string): void {
  fail(line, BAD_REQUEST, message)
  reply(line, base, null, undefined)
}

/** Sends a notification. */
export function notify(base: Base, method: string, params: unknown): void {
  send(base, { jsonrpc: '2.0', method: method, params: params })
}

function send(base: Base, message: unknown): void {
  base.board.line.write('\x1e' + ascii(JSON.stringify(message)) + '\n')
}

/**
 * What a reply holds only escaped: what is not printable, and the sign of the engine's prompt. The prompt shows itself again
 * between two pieces of a reply that leave the board one after the other; so the laptop knows a bare one for noise.
 */
const ESCAPED = /[^ -=?-~]/

function ascii(text: string): string {
  if (!ESCAPED.test(text)) return text
  let plain = ''
  for (let i = 0; i < text.length; i++) {
    const sign = text.charAt(i)
    plain += ESCAPED.test(sign) ? '\\u' + ('000' + text.charCodeAt(i).toString(16)).slice(-4) : sign
  }
  return plain
}
