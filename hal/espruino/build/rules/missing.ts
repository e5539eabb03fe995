/**
 * What of the standard library the board's engine does not have. Found by asking the interpreter (2v29) for every standard
 * name: rules refuse a call of them, and the de-hoisted run takes them away from Node. A name that the engine gains
 * later may simply be struck out here.
 */
export const MISSING_GLOBALS =
  words(`Symbol AggregateError EvalError RangeError URIError Intl BigInt BigInt64Array BigUint64Array
  Map Set WeakMap WeakSet WeakRef FinalizationRegistry Proxy Reflect decodeURI encodeURI escape unescape queueMicrotask
  structuredClone SharedArrayBuffer Atomics WebAssembly TextEncoder TextDecoder URL`)

/** By constructor or namespace. */
export const MISSING_STATICS: { readonly [owner: string]: readonly string[] } = {
  Math: words('acosh asinh atanh cbrt expm1 clz32 cosh fround hypot imul log1p log2 log10 sinh tanh trunc'),
  Number: words(`isFinite isInteger isNaN isSafeInteger parseFloat parseInt MAX_SAFE_INTEGER MIN_SAFE_INTEGER EPSILON`),
  Object: words(`getOwnPropertySymbols hasOwn is preventExtensions seal freeze isExtensible isFrozen isSealed groupBy`),
  Array: words('from of fromAsync'),
  String: words('fromCodePoint raw'),
  Date: words('UTC'),
  Promise: words('allSettled any race withResolvers try'),
  ArrayBuffer: words('isView'),
}

/** Methods, by the prototype that has them elsewhere. */
export const MISSING_METHODS: { readonly [owner: string]: readonly string[] } = {
  Array: words(`at copyWithin findLast findLastIndex lastIndexOf keys entries values flat flatMap reduceRight toReversed
    toSorted toSpliced with toLocaleString`),
  String: words(`anchor at big blink bold codePointAt fixed fontcolor fontsize isWellFormed italics link localeCompare
    matchAll normalize search small strike sub sup toLocaleLowerCase toLocaleUpperCase toWellFormed trimEnd trimLeft
    trimRight trimStart`),
  Number: words('toExponential toPrecision toLocaleString'),
  Promise: words('finally'),
  Object: words(
    `__defineGetter__ __defineSetter__ __lookupGetter__ __lookupSetter__ isPrototypeOf propertyIsEnumerable`,
  ),
  Date: words(`getYear setYear setUTCDate setUTCFullYear setUTCHours setUTCMilliseconds setUTCMinutes setUTCMonth
    setUTCSeconds toDateString toGMTString toLocaleDateString toLocaleString toLocaleTimeString toTimeString`),
  ArrayBuffer: words('resize transfer'),
}

function words(text: string): string[] {
  return text.split(/\s+/)
}
