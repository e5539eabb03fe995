/**
 * What the compiler's ES5 output calls in place of its own helper library, whose helpers need prototypes, hoisting and
 * property descriptors that the board's engine does not have. Resolved as the module `tslib` in every bundle.
 */
export const ENGINE_HELPERS = `
export function __extends(derived, base) {
  for (var key in base) if (Object.prototype.hasOwnProperty.call(base, key)) derived[key] = base[key];
  var prototype = Object.create(base.prototype);
  prototype.constructor = derived;
  derived.prototype = prototype;
}
export function __assign() {
  var target = arguments[0];
  for (var i = 1; i < arguments.length; i++) {
    var source = arguments[i];
    if (source) for (var key in source) target[key] = source[key];
  }
  return target;
}
export function __spreadArray(to, from) {
  return to.concat([].slice.call(from, 0));
}
export function __rest(source, left) {
  var target = {};
  for (var key in source) if (left.indexOf(key) < 0) target[key] = source[key];
  return target;
}
`
