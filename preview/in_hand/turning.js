// The blade turned in the hand. What it looks up (sheet of steel, studio, colours) comes with the page, told in
// maps.py and in preview/look/studio.py; here is no model of its own. World: right, up, to the viewer; mm.
"use strict";
(async () => {
const $ = id => document.getElementById(id), canvas = document.querySelector("canvas"), framed = window !== window.parent;
const versions = JSON.parse($("versions").textContent), arrays = JSON.parse($("arrays").textContent);
const gl = window.DecompressionStream && canvas.getContext("webgl2", { antialias: true, alpha: false });
if (!gl) throw Error("no WebGL 2 here");

// ---- arrays: base64 of deflated little-endian bytes, each once, however many versions have it
const unpack = async text => {
  const bytes = Uint8Array.from(atob(text), each => each.charCodeAt(0));
  const open = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate"));
  return new Response(open).arrayBuffer();
};
const summed = (packed, Kind) => {  // numbers told by how each differs from the one before: all lowest bytes come first
  const bytes = new Uint8Array(packed), size = Kind.BYTES_PER_ELEMENT, count = bytes.length / size;
  const values = new Kind(count);
  for (let i = 0, last = 0; i < count; i++) {
    for (let k = 0; k < size; k++) last += bytes[k * count + i] << 8 * k;
    values[i] = last |= 0;
  }
  return values;
};
const woven = (values, steps) => {  // parts one after the other, each with its steps to one, as one row for each place
  const count = values.length / steps.length, rows = new Float32Array(values.length);
  steps.forEach((each, part) => {
    for (let i = 0; i < count; i++) rows[i * steps.length + part] = values[part * count + i] / each;
  });
  return rows;
};

// ---- shaders
const HEAD = `#version 300 es
precision highp float;
uniform mat3 uTurn;
uniform vec3 uMiddle;
uniform vec2 uLens, uShift;
uniform float uEye, uBack;
vec4 lens(vec3 at) {
  float off = uEye - at.z;
  return vec4((at.xy - uShift * off / uEye) * uLens, (off - uEye) / 600. * off, off);
}
`;
const SHOWN = HEAD + `
out vec4 oColour;
float hash(vec2 at) {
  at = fract(at * vec2(.1031, .1030));
  at += dot(at, at.yx + 33.33);
  return fract((at.x + at.y) * at.x * 37.7);
}
vec4 shown(float lit, vec3 colour) {
  lit = lit > .7 ? .7 + .3 * (1. - exp((.7 - lit) / .3)) : lit;
  vec3 x = clamp(lit * colour, 0., 1.);
  x = mix(12.92 * x, 1.055 * pow(x, vec3(1. / 2.4)) - .055, step(.0031308, x));
  return vec4(x + (hash(gl_FragCoord.xy) + hash(gl_FragCoord.yx + 71.) - 1.) / 510., 1.);  // no bands
}`;
const STEEL_VERTEX = HEAD + `
uniform float uTops[5];
uniform vec2 uPerMm;
in vec3 aPlace, aOutwards;
in float aKind;
out vec3 vWorld, vOutwards;
out vec2 vSheet, vLevel;
flat out int vKind;
void main() {
  vWorld = uTurn * (aPlace - uMiddle) - vec3(0, 0, uBack);
  vOutwards = aOutwards;
  vKind = int(aKind + .5);
  vLevel = vKind == 4 ? aPlace.yz : vKind == 2 || vKind == 3 ? aPlace.xz : aPlace.xy;
  vSheet = uPerMm * vec2(vLevel.x, uTops[min(vKind, 4)] - vLevel.y);
  gl_Position = lens(vWorld);
}`;
const STEEL = SHOWN + `
const float LINE = .02;  // mm, of what stones leave; the tile's are .05
uniform mat3 uLight;
uniform vec3 uMetal, uWarm, uCool, uOxide, uWood;
uniform float uSteps[9], uWeights[9], uBright, uMatt, uSheen, uReach, uBent, uKeen, uDull, uScratch, uStones, uTurned, uGrain, uCloud, uOxideGrain, uOxideCloud, uOxideScratch, uShares;
uniform vec2 uAlong, uWide, uBetween, uHandle, uTang;
uniform vec3 uGrown, uJoints;
uniform bool uLengthwise;
uniform highp sampler2D tSheet, tCore, tGloss, tMatt, tNoise, tEdge, tWood;
in vec3 vWorld, vOutwards;
in vec2 vSheet, vLevel;
flat in int vKind;
vec2 onTable(vec3 r) { return r.xy / (1. + abs(r.z)) / (2. * uReach) + .5; }  // a card behind sends back what is in front
vec2 mirrored(vec3 m, vec3 v) { return onTable(uLight * (2. * dot(m, v) / dot(m, m) * m - v)); }
float matt(vec3 m) { return texture(tMatt, onTable(uLight * normalize(m))).r; }
float gloss(vec3 m, vec3 v, vec3 right, vec3 up) {  // seen aslant it is wider, and leans to the facets that show
  float see = max(dot(m, v), .2 * length(m)), wide = uWide.x * pow(length(m) / see, 3.);
  vec2 both = texture(tGloss, mirrored(m + uWide.x / see * (dot(right, v) * right + dot(up, v) * up), v)).rg;
  return mix(both.x, both.y, clamp((wide - uWide.x) / (uWide.y - uWide.x), 0., 1.));
}
float bare(vec3 outwards, vec3 right, vec3 up, vec2 lean, vec2 wide, vec3 v, vec2 which) {  // satin, or the sharpened edge
  float sum = 0., weight = 0.;
  for (int k = 0; k < 9; k++) {  // facets stepped across the scratches, each through the table of the narrow blur
    vec2 s = lean + uSteps[k] * wide;
    vec3 m = outwards - s.x * right - s.y * up;
    float w = uWeights[k] * max(dot(m, v), 0.);
    sum += w * dot(texture(tCore, mirrored(m, v)).rg, which);
    weight += w;
  }
  return uBright * sum / max(weight, 1e-5);
}
float whole(vec3 outwards, vec3 right, vec3 up, vec2 lean, vec3 v, vec2 rough, float dark) {  // bright and etched
  vec3 m = outwards - lean.x * right - lean.y * up;
  float etched = uMatt * matt(m) + uSheen * gloss(m, v, right, up);
  return mix(bare(outwards, right, up, lean, uAlong, v, vec2(1, 0)) * rough.x, etched * rough.y, dark);
}
vec3 beside() {  // the slopes along the blade to the left and to the right, and how far over to the right it is
  vec2 step = max(abs(dFdx(vSheet)), abs(dFdy(vSheet))) * vec2(textureSize(tSheet, 0));
  int level = int(log2(max(max(step.x, step.y), 1.)) + .5);
  ivec2 size = textureSize(tSheet, level);
  vec2 at = vSheet * vec2(size);
  float left = floor(at.x - .5);
  float a = texelFetch(tSheet, ivec2(max(left, 0.), at.y), level).r;
  float b = texelFetch(tSheet, ivec2(min(left + 1., float(size.x - 1)), at.y), level).r;
  return vec3(a, b, at.x - .5 - left);
}
void main() {
  vec3 v = normalize(vec3(0, 0, uEye) - vWorld);
  float fine = (texture(tNoise, vLevel / 11.3).g - .5) * 6.4, cloud = (texture(tNoise, vLevel / 170.).g - .5) * 6.4;
  bool across = vKind > 1 && vKind < 5;  // spine, foot and heel are ground across
  bool lengthwise = uLengthwise && !across;
  vec2 run = lengthwise || vKind > 4 ? vLevel : vLevel.yx;
  float stones = 6.4 * (texture(tNoise, vLevel.yx / vec2(64., 12.8)).r - .5);
  float line = ((texture(tNoise, run / vec2(64., 12.8)).r - .5) * .75
    + (texture(tNoise, run / vec2(-83., 17.3) + .37).r - .5) * .66) * 6.4;
  if (vKind > 4) {  // tang and handle
    vec3 n = uTurn * normalize(vOutwards);
    float wood = vKind == 6 ? 1. : 0.;
    vec2 parts = mix(uTang, uHandle, wood), grown = vec2(1. + vLevel.x / uGrown.x, 1. - vLevel.y / uGrown.y);
    float lit = parts.x * matt(n) + parts.y * gloss(n, v, vec3(0), vec3(0));
    vec2 cut = uGrown.z * texture(tWood, grown).rg;  // of the right side and of the left
    lit *= mix(1. + uTurned * stones, vOutwards.z < 0. ? cut.y : cut.x, wood);
    lit *= (1. - .5 * exp(-abs(vLevel.x - uJoints.x) / uJoints.y)) * (1. - .5 * exp(-abs(vLevel.x) / uJoints.z));
    oColour = shown(lit, mix(uMetal, uWood, wood));
    return;
  }
  vec4 here = texture(tSheet, vSheet);
  vec3 right = uTurn * (vKind == 4 ? vec3(0, 1, 0) : vec3(1, 0, 0));
  vec3 up = uTurn * (vKind < 2 ? vec3(0, 1, 0) : vec3(0, 0, 1)), outwards = uTurn * vOutwards;
  float dark = here.z, share = clamp(dark * (1. - here.w), 0., 1.);
  vec2 scratch = (lengthwise ? vec2(0, 1) : vec2(1, 0)) * line * uScratch;
  scratch *= mix(1., uOxideScratch, across ? 0. : share);
  vec2 rough = vec2(1. + uGrain * fine + uCloud * cloud, 1. + uOxideGrain * fine + uOxideCloud * cloud);
  float lit = whole(outwards, right, up, here.xy + scratch, v, rough, dark);
  vec3 bend = beside();
  if (abs(bend.x - bend.y) > uBent) {  // both sides of it, as half way would mirror what neither does
    vec2 part = vec2(0, here.y) + scratch;
    lit = mix(whole(outwards, right, up, part + vec2(bend.x, 0), v, rough, dark),
      whole(outwards, right, up, part + vec2(bend.y, 0), v, rough, dark), bend.z);
  }
  float pixel = max(length(vec2(dFdx(vLevel.x), dFdy(vLevel.x))), LINE);
  if (here.w > 0.) {  // of the stones' scratches those finer than a pixel are seen together
    float apart = sqrt(LINE / pixel * max(pixel / .05, 1.)), together = sqrt(1. - LINE / pixel);
    vec2 edge = texture(tEdge, vSheet).rg + apart * stones * uStones;
    vec2 wide = uKeen * uAlong + vec2(together * uStones * 2.6 / uSteps[8], 0);
    lit = mix(lit, bare(outwards, right, up, edge, wide, v, vec2(0, 1)), here.w);
  }
  share = floor(share * (uShares - .01)) / (uShares - 1.);  // as the table of colours has it
  vec3 metal = mix(uWarm, uCool, clamp(max((lit - uBetween.x) / (uBetween.y - uBetween.x), 2. * share), 0., 1.));
  oColour = shown(max(lit, 0.), mix(metal, uOxide, share * uDull / (1. - share + share * uDull)));
}`;
const GROUND_VERTEX = HEAD + `
in vec2 aCorner;
uniform vec4 uRim;
uniform vec2 uFalls;
uniform float uBehind;
out vec2 vAt, vScreen;
out float vOver;
void main() {
  vAt = aCorner * .5 + .5;
  gl_Position = vec4(aCorner, .9999, 1);
  vOver = 0.;
  if (uBehind > 0.) {  // the shadow, cast on the one plane behind: lower and softer the farther that is
    vec3 at = uTurn * (vec3(mix(uRim.xy, uRim.zw, vAt), 0.) - uMiddle);
    vOver = at.z - uBack + uBehind;
    gl_Position = lens(vec3(at.xy + vOver * uFalls, -uBehind));
    gl_Position.z = .999 * gl_Position.w;
  }
  vScreen = gl_Position.xy / gl_Position.w;
}`;
const GROUND = SHOWN + `
uniform float uBehind, uTone;
uniform vec3 uSlate;
uniform vec2 uFalls;
uniform highp sampler2D tShadow, tStone;
uniform vec2 uStone;
in vec2 vAt, vScreen;
in float vOver;
void main() {
  float lit = uTone * (1. - .15 * dot(vScreen, vScreen) - .3 * dot(uFalls, vScreen));  // lighter towards the light
  vec2 at = vScreen * uEye / uLens + uShift;  // mm
  lit *= 1. + (texture(tStone, vec2(at.x, -at.y) * uStone.x).r - .5) * uStone.y;
  if (uBehind > 0.) lit *= 1. - .6 * textureLod(tShadow, vAt, log2(max(vOver / 30., 1.))).r / max(vOver / 60. + .5, 1.);
  oColour = shown(lit, uSlate);
}`;
const program = (...texts) => {
  const made = gl.createProgram();
  texts.forEach((text, i) => {
    const part = gl.createShader([gl.VERTEX_SHADER, gl.FRAGMENT_SHADER][i]);
    gl.shaderSource(part, text);
    gl.compileShader(part);
    if (!gl.getShaderParameter(part, gl.COMPILE_STATUS)) throw Error(gl.getShaderInfoLog(part));
    gl.attachShader(made, part);
  });
  gl.linkProgram(made);
  const places = {};
  return { made, at: name => places[name] ??= gl.getUniformLocation(made, name) };
};
const steel = program(STEEL_VERTEX, STEEL), ground = program(GROUND_VERTEX, GROUND);

// ---- textures
const canShrink = gl.getExtension("EXT_color_buffer_float") || gl.getExtension("EXT_color_buffer_half_float");
const aslant = gl.getExtension("EXT_texture_filter_anisotropic");
gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
const texture = (inner, format, kind, [rows, columns], values, { repeat = false, shrinks = false } = {}) => {
  const of = gl.TEXTURE_2D, wrap = repeat ? gl.REPEAT : gl.CLAMP_TO_EDGE;
  const made = gl.createTexture();
  gl.activeTexture(gl.TEXTURE15);  // where none that is in use stands
  gl.bindTexture(of, made);
  gl.texImage2D(of, 0, inner, columns, rows, 0, format, kind, values);
  gl.texParameteri(of, gl.TEXTURE_WRAP_S, wrap);
  gl.texParameteri(of, gl.TEXTURE_WRAP_T, wrap);
  gl.texParameteri(of, gl.TEXTURE_MAG_FILTER, gl.LINEAR);
  gl.texParameteri(of, gl.TEXTURE_MIN_FILTER, shrinks ? gl.LINEAR_MIPMAP_LINEAR : gl.LINEAR);
  if (shrinks) gl.generateMipmap(of);
  if (shrinks && aslant) gl.texParameterf(of, aslant.TEXTURE_MAX_ANISOTROPY_EXT, 8);
  return made;
};
// ---- corners
const lay = (of, fields) => {
  const laid = gl.createVertexArray();
  gl.bindVertexArray(laid);
  for (const [name, size, values] of fields) {
    const at = gl.getAttribLocation(of.made, name);
    gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
    gl.bufferData(gl.ARRAY_BUFFER, values, gl.STATIC_DRAW);
    gl.enableVertexAttribArray(at);
    gl.vertexAttribPointer(at, size, gl.FLOAT, false, 0, 0);
  }
  return laid;
};
const square = lay(ground, [["aCorner", 2, new Float32Array([-1, -1, 1, -1, -1, 1, 1, 1])]]);

// ---- a version of the blade: laid out when it is first asked for, kept from then on
const kept = [], ROOM = 12, SHADOW = 20, OVER = 30;  // mm; the last is how far the knife is over what is behind it
const LOW = .6;  // no lower, or the shadow would lie beside all that is in sight
const laidOut = async number => {
  const D = versions[number], glossy = [D.glossy, D.glossy], soft = [D.soft, D.soft];
  const found = Object.fromEntries(await Promise.all(
    Object.entries(D.arrays).map(async ([name, at]) => [name, await unpack(arrays[at])])));
  const bytes = name => new Uint8Array(found[name]), halves = name => new Uint16Array(found[name]);
  const noise = Uint8Array.from(woven(summed(found.noise, Uint8Array), [1, 1]));
  const textures = [
    texture(gl.RGBA16F, gl.RGBA, gl.FLOAT, D.sheet, woven(summed(found.sheet, Int16Array), D.sheetSteps), { shrinks: !!canShrink }),
    texture(gl.RG16F, gl.RG, gl.HALF_FLOAT, [D.fine, D.fine], halves("core")),
    texture(gl.RG16F, gl.RG, gl.HALF_FLOAT, glossy, halves("gloss")),
    texture(gl.R16F, gl.RED, gl.HALF_FLOAT, soft, halves("matt")),
    texture(gl.RG8, gl.RG, gl.UNSIGNED_BYTE, [256, 256], noise, { repeat: true, shrinks: true }),
    texture(gl.R8, gl.RED, gl.UNSIGNED_BYTE, D.shadow, bytes("shadow"), { shrinks: true }),
    texture(gl.RG16F, gl.RG, gl.HALF_FLOAT, [1, D.sheet[1]], halves("edge")),
    texture(gl.RG8, gl.RG, gl.UNSIGNED_BYTE, D.wood.picture, Uint8Array.from(woven(summed(found.wood, Uint8Array), [1, 1])),
      { shrinks: true }),
    texture(gl.R8, gl.RED, gl.UNSIGNED_BYTE, [D.stone.side, D.stone.side], bytes("stone"),
      { repeat: true, shrinks: true }),
  ];
  const places = woven(summed(found.places, Int32Array), D.cornerSteps[0]);
  const body = lay(steel, [["aPlace", 3, places], ["aOutwards", 3, woven(summed(found.outwards, Int16Array), D.cornerSteps[1])],
    ["aKind", 1, Float32Array.from(bytes("kinds"))]]);
  const numbers = summed(found.triangles, Uint32Array);
  gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, gl.createBuffer());
  gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, numbers, gl.STATIC_DRAW);
  return { D, textures, body, places, corners: numbers.length };
};
let D, body, places, corners, left, low, right, high, wholeOff, wanted;
const lift = async number => {  // this version into the hand, held as the one before was
  wanted = number;
  const version = await (kept[number] ??= laidOut(number));
  if (wanted !== number) return;  // another was asked for meanwhile
  ({ D, body, places, corners } = version);
  [left, low, right, high] = D.whole;
  const [L, H] = D.size, middle = [L / 2, H / 2, 0];
  wholeOff = [(left + right) / 2 - middle[0], (low + high) / 2 - middle[1], 0];
  version.textures.forEach((each, unit) => {
    gl.activeTexture(gl.TEXTURE0 + unit);
    gl.bindTexture(gl.TEXTURE_2D, each);
  });
  for (const { made, at } of [steel, ground]) {
    gl.useProgram(made);
    gl.uniform3fv(at("uMiddle"), middle);
    gl.uniform1f(at("uEye"), D.eye);
  }
  gl.uniform1i(ground.at("tShadow"), 5);
  gl.uniform4f(ground.at("uRim"), left - SHADOW, low - SHADOW, right + SHADOW, high + SHADOW);
  gl.uniform1f(ground.at("uTone"), D.ground);
  gl.uniform1i(ground.at("tStone"), 8);
  gl.uniform2f(ground.at("uStone"), D.stone.fine / D.stone.side, D.stone.range);
  gl.uniform3fv(ground.at("uSlate"), D.slate);
  gl.useProgram(steel.made);
  gl.uniform1i(steel.at("tEdge"), 6);
  gl.uniform1i(steel.at("tWood"), 7);
  gl.uniform3f(steel.at("uGrown"), ...D.wood.size, D.wood.steps);
  ["tSheet", "tCore", "tGloss", "tMatt", "tNoise"].forEach((name, unit) => gl.uniform1i(steel.at(name), unit));
  for (const [name, value] of Object.entries(D.steel)) {
    const at = steel.at(name);
    if (["uSteps", "uWeights", "uTops"].includes(name)) gl.uniform1fv(at, value);
    else if (name === "uLengthwise") gl.uniform1i(at, value);
    else if (Array.isArray(value)) (value.length === 3 ? gl.uniform3fv(at, value) : gl.uniform2fv(at, value));
    else gl.uniform1f(at, value);
  }
};
await lift(0);
gl.enable(gl.DEPTH_TEST);
gl.enable(gl.CULL_FACE);
gl.depthFunc(gl.LEQUAL);

// ---- how it is held; degrees, and mm on the screen
const START = { ...D.held, roll: 0, zoom: 1, beside: 0, above: 0, light: 0, lift: 0 };
const hand = { ...START, rough: 1, drawn: 0 };
const row = i => [0, 1, 2].map(k => 3 * i + k);
const times = (a, b) => a.map((_, n) => row(Math.floor(n / 3)).reduce((sum, at, k) => sum + a[at] * b[3 * k + n % 3], 0));
const transposed = a => a.map((_, n) => a[3 * (n % 3) + Math.floor(n / 3)]);
const carried = (a, p) => [0, 1, 2].map(i => row(i).reduce((sum, at, k) => sum + a[at] * p[k], 0));
const about = (axis, degrees) => {
  const c = Math.cos(degrees * Math.PI / 180), s = Math.sin(degrees * Math.PI / 180);
  return { right: [1, 0, 0, 0, c, -s, 0, s, c], up: [c, 0, s, 0, 1, 0, -s, 0, c], viewer: [c, -s, 0, s, c, 0, 0, 0, 1] }[axis];
};
const upright = () => innerHeight > innerWidth;  // whatever room its words leave the blade
const span = () => {  // mm across the canvas
  const wide = right - left + 2 * ROOM, tall = high - low + 2 * ROOM, form = canvas.clientWidth / canvas.clientHeight;
  return (upright() ? Math.max(tall, wide * form) : Math.max(wide, tall * form)) / hand.zoom;
};
const turned = () => times(about("right", hand.pitch),
  times(about("up", hand.yaw), about("viewer", hand.roll + (upright() ? 90 : 0))));
const corner = () => [[left, low], [left, high], [right, low], [right, high]].map(  // of all the knife, as it is held
  ([along, across]) => carried(turned(), [along - D.size[0] / 2, across - D.size[1] / 2, 0]));
const sight = () => {  // what is in the middle of the canvas: of all that is seen, as the end that comes near seems longer
  const back = carried(turned(), wholeOff)[2];
  const seen = corner().map(([x, y, z]) => [x, y].map(each => each * D.eye / (D.eye + back - z)));
  return [hand.beside, hand.above].map((moved, k) => {
    const each = seen.map(at => at[k]);
    return moved + (Math.min(...each) + Math.max(...each)) / 2;
  });
};
let took = 0, resting = 0, waiting = 0;
const draw = scale => {
  const dots = Math.min(window.devicePixelRatio || 1, 2.5) * scale;
  const [w, h] = [canvas.clientWidth, canvas.clientHeight].map(each => Math.max(1, Math.round(each * dots)));
  if (canvas.width !== w || canvas.height !== h) [canvas.width, canvas.height] = [w, h];
  gl.viewport(0, 0, w, h);
  const turn = turned();
  const light = times(D.light, times(about("right", hand.lift), about("up", -hand.light)));
  const off = carried(turn, wholeOff), mm = 2 / span();
  const [key, over, towards] = carried(transposed(light), D.key), falls = [key, over].map(each => -each / Math.max(towards, LOW));
  const [beside, above] = sight(), ends = corner().map(each => each[2] - off[2]);
  const behind = OVER - Math.min(...ends);
  gl.clear(gl.DEPTH_BUFFER_BIT);
  for (const { made, at } of [ground, steel]) {
    gl.useProgram(made);
    gl.uniformMatrix3fv(at("uTurn"), true, turn);
    gl.uniform2f(at("uLens"), mm * D.eye, mm * D.eye * w / h);
    gl.uniform2f(at("uShift"), beside, above);
    gl.uniform1f(at("uBack"), off[2]);
    if (made === ground.made) {
      gl.bindVertexArray(square);
      gl.disable(gl.CULL_FACE);
      gl.uniform2fv(at("uFalls"), falls);
      for (const each of [0, behind]) {
        gl.uniform1f(at("uBehind"), each);
        gl.drawArrays(gl.TRIANGLE_STRIP, 0, 4);
      }
      gl.enable(gl.CULL_FACE);
    }
  }
  gl.uniformMatrix3fv(steel.at("uLight"), true, light);
  for (const [name, value] of Object.entries(D.rough)) gl.uniform1f(steel.at(name), hand.rough * value);
  gl.bindVertexArray(body);
  gl.drawElements(gl.TRIANGLES, corners, gl.UNSIGNED_INT, 0);
};
const sharp = () => {  // and see how long it takes: reading a point waits for all that is drawn
  clearTimeout(resting);
  cancelAnimationFrame(waiting);  // or a coarser picture came after it
  waiting = 0;
  const begin = performance.now();
  draw(1);
  gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
  took = performance.now() - begin;
  hand.drawn++;
};
const again = () => {  // a slow machine turns a coarser picture, as fine as 30 ms let it be, and at rest a sharp one
  clearTimeout(resting);
  resting = setTimeout(sharp, 120);
  waiting ||= requestAnimationFrame(() => {
    waiting = 0;
    draw(Math.min(1, Math.max(.3, Math.sqrt(30 / took))));
  });
};

// ---- hands
if (matchMedia("(pointer: coarse)").matches) $("hint").innerHTML = "Drag to turn, two fingers to zoom<span>; held sideways it lies flat</span>";
for (const first of ["pointerdown", "keydown", "wheel"]) addEventListener(first, () => $("hint").hidden = true);
const bounded = (value, least, most) => Math.min(most, Math.max(least, value));
const inSight = () => {  // the middle of the canvas goes no farther from the blade than a third of what is seen
  const [a, b, c, d, e, f, g, h, i] = turned(), z = carried(turned(), wholeOff)[2], [x, y] = sight(), [L, H] = D.size;
  let least = Infinity, nearest;
  for (let k = 0; k < places.length; k += 3) {
    const along = places[k] - L / 2, across = places[k + 1] - H / 2, through = places[k + 2];
    const near = D.eye / (D.eye + z - g * along - h * across - i * through);
    const right = near * (a * along + b * across + c * through) - x;
    const up = near * (d * along + e * across + f * through) - y, far = right * right + up * up;
    if (far < least) [least, nearest] = [far, [right, up]];
  }
  const reach = span() * Math.min(1, canvas.clientHeight / canvas.clientWidth) / 3;
  const back = 1 - Math.min(1, reach / Math.sqrt(least));
  hand.beside += back * nearest[0];
  hand.above += back * nearest[1];
};
const set = change => {
  Object.assign(hand, change);
  const long = upright() ? "pitch" : "yaw", flat = 180 * Math.round(hand[long] / 180);
  hand[long] = bounded(hand[long], flat - 60, flat + 60);  // the blade does not point at the eye, or away from it
  hand.zoom = bounded(hand.zoom, .6, 10);
  hand.light = bounded(hand.light, -70, 70);
  hand.lift = bounded(hand.lift, -40, 40);
  inSight();
  $("light").value = hand.light;
  again();
};
const pushed = (dx, dy) => set({ yaw: hand.yaw + dx, pitch: hand.pitch + dy });
const lit = (dx, dy) => set({ light: hand.light + dx, lift: hand.lift + dy });
const spot = ([x, y]) => {  // mm from the middle of the canvas
  const box = canvas.getBoundingClientRect(), mm = span() / box.width;
  return [(x - box.left - box.width / 2) * mm, (box.top + box.height / 2 - y) * mm];
};
const zoomed = (by, at, to = at) => {  // what is below `at` comes to lie below `to`
  const was = spot(at);
  set({ zoom: hand.zoom * by });
  const is = spot(to);
  set({ beside: hand.beside + was[0] - is[0], above: hand.above + was[1] - is[1] });
};
const down = new Map();
canvas.onpointerdown = event => {
  canvas.setPointerCapture(event.pointerId);
  down.set(event.pointerId, [event.clientX, event.clientY]);
};
canvas.onpointerup = canvas.onpointercancel = event => {
  down.delete(event.pointerId);
  clearTimeout(resting);
  resting = setTimeout(sharp);
};
canvas.onpointermove = event => {
  const was = down.get(event.pointerId);
  if (!was) return;
  const is = [event.clientX, event.clientY], other = [...down].find(([id]) => id !== event.pointerId)?.[1];
  down.set(event.pointerId, is);
  const apart = each => Math.hypot(each[0] - other[0], each[1] - other[1]);
  const between = each => [(each[0] + other[0]) / 2, (each[1] + other[1]) / 2];
  if (other) zoomed(apart(is) / Math.max(apart(was), 1), between(was), between(is));
  else if (event.shiftKey || event.buttons === 2) lit((is[0] - was[0]) * .2, (is[1] - was[1]) * .2);
  else pushed((is[0] - was[0]) * .22, (is[1] - was[1]) * .22);
};
canvas.ondblclick = event => {
  if (hand.zoom > 1.05) $("whole").click();
  else zoomed(3, [event.clientX, event.clientY]);
};
canvas.oncontextmenu = event => event.preventDefault();
canvas.addEventListener("wheel", event => {
  if (framed && document.activeElement !== canvas) return;  // the page round it is to scroll
  event.preventDefault();
  zoomed(Math.exp(-event.deltaY / 700), [event.clientX, event.clientY]);
}, { passive: false });
const KEYS = {
  ArrowLeft: () => pushed(-3, 0), ArrowRight: () => pushed(3, 0), ArrowUp: () => pushed(0, -3),
  ArrowDown: () => pushed(0, 3), l: () => lit(5, 0), k: () => lit(-5, 0), q: () => set({ roll: hand.roll + 3 }),
  e: () => set({ roll: hand.roll - 3 }), "+": () => set({ zoom: hand.zoom * 1.15 }),
  "=": () => set({ zoom: hand.zoom * 1.15 }), "-": () => set({ zoom: hand.zoom / 1.15 }),
  f: () => $("other").click(), w: () => $("whole").click(), Home: () => $("straight").click(),
};
canvas.onkeydown = event => {
  const act = event.ctrlKey || event.metaKey || event.altKey ? null : KEYS[event.key];
  if (!act) return;
  act();
  event.preventDefault();
};
$("light").oninput = event => set({ light: +event.target.value });
$("other").onclick = () => set({ yaw: hand.yaw + 180 });
$("whole").onclick = () => set({ zoom: 1, beside: 0, above: 0 });
$("straight").onclick = () => set({ ...START });
const choices = [...document.querySelectorAll("[name=version]")];
choices.forEach((each, number) => each.onchange = async () => {
  document.querySelectorAll(".told").forEach((told, which) => told.hidden = which % choices.length !== number);
  await lift(number);
  sharp();
});

// ---- a phone held otherwise than it was when asked
if (window.DeviceOrientationEvent && matchMedia("(pointer: coarse)").matches) {
  let level = null;
  const tilted = ({ beta, gamma }) => {
    if (beta === null) return;
    level ??= [beta - hand.pitch, gamma - hand.yaw];
    set({ pitch: beta - level[0], yaw: gamma - level[1] });
  };
  $("tilt").hidden = false;
  $("tilt").onclick = async () => {
    level = null;
    if (await DeviceOrientationEvent.requestPermission?.() !== "denied") addEventListener("deviceorientation", tilted);
  };
}
const flat = () => document.body.className = "flat";
canvas.addEventListener("webglcontextlost", flat);
document.querySelector("header").hidden = framed;  // the page round it says so
$("told").open = innerWidth > 700 && !framed;
if ($("under").offsetHeight > innerHeight / 3) $("told").open = false;  // the knife comes before the words
sharp();
sharp();  // the first one had its shaders to make
new ResizeObserver(sharp).observe(canvas);
window.hand = Object.assign(hand, { set, sharp, span, turned });
})().catch(trouble => {
  console.warn(trouble.message);
  document.body.className = "flat";
});
