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
import { METHODS, type Method } from './methods.ts'
import { checkParams, wrongText } from './params.ts'

const NOT_JSON = -32700
const BAD_REQUEST = -32600
const NO_METHOD = -32601
const INTERNAL = -32603

const ID_CHARACTERS = 64

/** Carries out one request and sends its reply. */
export function answer(line: Console, base: Base, text: string, inSession: boolean): void {
  let request: unknown
  line.failure = undefined
  const whole = text.trim()
  if (whole === '') return
  if (isTangled(whole, inSession)) fail(line, BAD_REQUEST, 'Too deep, or too much for now')
  else {
    try {
      request = JSON.parse(whole)
    } catch (_) {
      request = undefined
    }
    const last = whole.charAt(whole.length - 1)
    if (request === undefined || (typeof request === 'object' && last !== '}' && last !== ']')) {
      fail(line, NOT_JSON, 'Not JSON')
    }
  }
  const fields = line.failure === undefined ? asFields(request) : undefined
  const id = own(fields, 'id')
  const answerable = id === null || typeof id === 'number' || isIdText(id)
  let result: unknown
  if (line.failure === undefined) {
    if (fields === undefined) fail(line, BAD_REQUEST, 'One request at a time, an object')
    else if (id !== undefined && !answerable)
      fail(line, BAD_REQUEST, 'id: a number or ASCII text up to ' + ID_CHARACTERS)
    else if (own(fields, 'jsonrpc') !== '2.0') fail(line, BAD_REQUEST, 'jsonrpc: "2.0"')
    else if (typeof own(fields, 'method') !== 'string') fail(line, BAD_REQUEST, 'method: a text')
    else {
      result = call(line, base, fields, inSession)
      // A request without id is a notification: nothing is answered, not even what went wrong.
      if (id === undefined) return
    }
  }
  reply(line, base, answerable ? id : null, result)
}

function isIdText(id: unknown): boolean {
  return typeof id === 'string' && id.length <= ID_CHARACTERS && !/[^ -~]/.test(id)
}

function findMethod(name: string): Method | undefined {
  for (let i = 0; i < METHODS.length; i++) if (METHODS[i].name === name) return METHODS[i]
  return undefined
}

function call(line: Console, base: Base, fields: Fields, inSession: boolean): unknown {
  const name = own(fields, 'method') as string
  const method = findMethod(name)
  if (method === undefined) return fail(line, NO_METHOD, 'No method ' + quote(name))
  const given = own(fields, 'params')
  const params = given === undefined ? {} : asFields(given)
  if (params === undefined) return fail(line, BAD_PARAMS, 'params: an object, by name')
  const wrongs = checkParams(method.params, params)
  if (wrongs.length > 0) {
    return fail(line, BAD_PARAMS, wrongText(wrongs[0]), wrongs)
  }
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
  else if (failure.data === undefined) {
    send(base, { jsonrpc: '2.0', id: id, error: { code: failure.code, message: failure.message } })
  } else {
    const error = { code: failure.code, message: failure.message, data: failure.data }
    send(base, { jsonrpc: '2.0', id: id, error: error })
  }
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

/** Whatever is not printable, as JSON escapes it. */
function ascii(text: string): string {
  if (!/[^ -~]/.test(text)) return text
  let plain = ''
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i)
    plain += code < 32 || code > 126 ? '\\u' + ('000' + code.toString(16)).slice(-4) : text.charAt(i)
  }
  return plain
}
