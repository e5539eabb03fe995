/**
 * What the board's engine has and duktape lacks, so that a bundle may use it on both. Plain and slow: only for runs that
 * compare. ES5, run before the bundle.
 */
export const DUK_SHIMS = `
(function () {
  function give(owner, name, value) {
    if (owner[name] === undefined) Object.defineProperty(owner, name, { value: value, enumerable: false, writable: true });
  }
  function fill(value, from, to) {
    for (var i = from || 0; i < (to === undefined ? this.length : to); i++) this[i] = value;
    return this;
  }
  function findIndex(is) {
    for (var i = 0; i < this.length; i++) if (is(this[i], i, this)) return i;
    return -1;
  }
  function find(is) { return this[findIndex.call(this, is)]; }
  give(Array.prototype, 'fill', fill);
  give(Array.prototype, 'find', find);
  give(Array.prototype, 'findIndex', findIndex);
  give(Array.prototype, 'includes', function (value) { return this.indexOf(value) >= 0; });
  var typed = Object.getPrototypeOf(Uint8Array.prototype);
  var methods = ['fill', 'find', 'findIndex'];
  give(typed, 'fill', fill);
  give(typed, 'find', find);
  give(typed, 'findIndex', findIndex);
  ['map', 'forEach', 'reduce', 'some', 'every', 'filter', 'indexOf', 'join', 'slice', 'reverse', 'sort'].forEach(function (name) {
    give(typed, name, Array.prototype[name]);
  });
  function pad(text, length, filler) {
    var out = '';
    while (out.length < length - text.length) out += filler === undefined ? ' ' : filler;
    return out.slice(0, Math.max(0, length - text.length));
  }
  give(String.prototype, 'padStart', function (length, filler) { return pad(this, length, filler) + this; });
  give(String.prototype, 'padEnd', function (length, filler) { return this + pad(this, length, filler); });
  give(String.prototype, 'replaceAll', function (from, to) { return this.split(from).join(to); });
  give(Object, 'values', function (o) { return Object.keys(o).map(function (key) { return o[key]; }); });
  give(Object, 'entries', function (o) { return Object.keys(o).map(function (key) { return [key, o[key]]; }); });
  give(Object, 'fromEntries', function (pairs) {
    var o = {};
    pairs.forEach(function (pair) { o[pair[0]] = pair[1]; });
    return o;
  });
})();
`
