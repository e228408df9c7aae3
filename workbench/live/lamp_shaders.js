/* A sheet under a lamp, in GLSL: surface/shade.py, horizon.py, relight.py and analysis/relit.py
   in numpy are what it is held against; their names, their order.

   What a lamp does not need is not in its program: `wants` names what it does.
   EXACT: the relief's texels are the picture's pixels; NEAR: its light is not parallel;
   SHADOWS: it stands below some slope, and KEPT: where was worked out before; LAYERS: for
   several azimuths; EYE: one above the middle; INK: it shines otherwise; WINDOW: mirrored. */

import { HEAD, SRGB_CURVE } from "./shaders.js";

/* layers of horizons, one for each azimuth between which a near lamp's are interpolated */
export const MOST_AZIMUTHS = 13;

const SHADE = `
const float MEASURED_COS = 0.70710678;
const float LEAST_ALPHA = 0.02;

float fresnel(float cosine) {
  const float n = 1.5;
  float inside = sqrt(n * n - 1.0 + cosine * cosine);
  float across = (cosine - inside) / (cosine + inside);
  float along = (n * n * cosine - inside) / (n * n * cosine + inside);
  return 0.5 * (across * across + along * along);
}
/* of facets whose slopes spread: how much is as Lambert has it, and how much goes aside */
vec2 spreadOf(float alpha) {
  float sigma = atan(alpha / sqrt(2.0)), square = sigma * sigma;
  return vec2(1.0 - 0.5 * square / (square + 0.33), 0.45 * square / (square + 0.09));
}
float orenNayar(float nl, float nv, float lv, vec2 spread) {
  float term = (lv - nl * nv) / max(max(nl, nv), 1e-4);
  return max(nl, 0.0) * (spread.x + spread.y * max(term, 0.0));
}
float ggx(float nl, float nv, float nh, float lh, float alpha) {
  float square = alpha * alpha, lit = max(nl, 0.0), seen = max(nv, 0.0);
  float spread = nh * nh * (square - 1.0) + 1.0;
  float shadow = (lit + sqrt(square + (1.0 - square) * lit * lit))
    * (seen + sqrt(square + (1.0 - square) * seen * seen));
  return nv > 0.0 ? square * lit / (spread * spread * shadow) * fresnel(lh) : 0.0;
}
float throughSurface(float nl, float nv) {
  float measured = (1.0 - fresnel(MEASURED_COS)) * (1.0 - fresnel(1.0));
  return (1.0 - fresnel(max(nl, 0.0))) * (1.0 - fresnel(max(nv, 0.0))) / measured;
}
`;

/* a relief's texels: height, slope to the right, slope upwards, as whole steps from the lowest */
const RELIEF = `
uniform usampler2D relief;
uniform vec3 low, stepOf;

vec3 reliefAt(ivec2 at) {
  vec2 share = (vec2(at) + 0.5) / vec2(textureSize(relief, 0));
  return vec3(texture(relief, share).rgb) * stepOf + low;
}
/* how the light is followed at each azimuth: along the rows 1 or not 0, forwards 1 or back -1,
   by how much to the side for each step, and a step's length in mm */
uniform vec4 ways[${MOST_AZIMUTHS}];
uniform int steps;
uniform float highestMm;

float horizonTangent(ivec2 at, int layer) {
  vec4 way = ways[layer];
  bool along = way.x > 0.5;
  float height = reliefAt(at).x, highest = 0.0;
  for (int k = 1; k <= steps; k++) {
    float far = float(k) * way.w;
    if (highest * far >= highestMm - height) break; /* nothing stands higher than the highest */
    float across = float(k) * way.z, whole = floor(across), part = across - whole;
    int forth = int(way.y) * k, aside = int(whole);
    ivec2 there = at + (along ? ivec2(forth, aside) : ivec2(aside, forth));
    float near = reliefAt(there).x;
    if (part > 1e-6) near += part * (reliefAt(there + (along ? ivec2(0, 1) : ivec2(1, 0))).x - near);
    highest = max(highest, (near - height) / far);
  }
  return highest;
}
`;

/* Horizons of the whole relief, one layer below the other. */
export const HORIZONS = `${HEAD}${RELIEF}
uniform int layerHeight;
out uvec4 result;

void main() {
  ivec2 at = ivec2(gl_FragCoord.xy);
  result = uvec4(floatBitsToUint(horizonTangent(ivec2(at.x, at.y % layerHeight), at.y / layerHeight)));
}`;

/* What holds for the sheet as it was measured is worked out at the corners only. */
export const LIT_COVER = `${HEAD}${SHADE}
uniform float alpha, lampAlpha, gloss;
flat out vec2 measured, spread;

void main() {
  spread = spreadOf(alpha);
  vec2 corner = vec2(float((gl_VertexID << 1) & 2), float(gl_VertexID & 2));
  gl_Position = vec4(2.0 * corner - 1.0, 0.0, 1.0);
  float half_way = cos(radians(22.5)), rough = max(length(vec2(alpha, lampAlpha)), LEAST_ALPHA);
  measured = vec2(
    orenNayar(MEASURED_COS, 1.0, MEASURED_COS, spread) / MEASURED_COS,
    ggx(MEASURED_COS, 1.0, half_way, half_way, rough) / MEASURED_COS * gloss);
}`;

/* The diffuse and glossy factor of a pixel of the picture. */
const FACTORS = `
uniform usampler2D horizons;
uniform vec2 size;
uniform float pixelMm, texels, alpha, lampAlpha, gloss;
uniform vec3 direction;
uniform float farMm, halfAngle, ambient, eyeMm;
flat in vec2 measured, spread;

#ifdef SHADOWS
#ifdef LAYERS
uniform int layers;
uniform float firstAzimuth, azimuthStep;
#endif
float litShare(float tangent, float horizon) {
  float width = (1.0 + tangent * tangent) * 2.0 * max(halfAngle, 1e-3);
  return clamp((tangent - horizon) / width + 0.5, 0.0, 1.0);
}
float horizonAt(ivec2 at, int layer) {
#ifdef KEPT
  ivec2 whole = textureSize(relief, 0);
  at -= whole * ivec2(floor((vec2(at) + 0.5) / vec2(whole)));
  return uintBitsToFloat(texelFetch(horizons, ivec2(at.x, at.y + layer * whole.y), 0).r);
#else
  return horizonTangent(at, layer);
#endif
}
float litAt(ivec2 at, vec3 light) {
  float tangent = light.z / max(length(light.xy), 1e-6);
#ifdef LAYERS
  float turn = degrees(atan(light.y, light.x)) - firstAzimuth;
  float place = (turn - 360.0 * floor(turn / 360.0)) / azimuthStep;
  place = place > float(layers) ? 0.0 : min(place, float(layers - 1));
  int first = min(int(place), layers - 2);
  return mix(litShare(tangent, horizonAt(at, first)), litShare(tangent, horizonAt(at, first + 1)),
             place - float(first));
#else
  return litShare(tangent, horizonAt(at, 0));
#endif
}
#endif

/* slopes to the right and upwards, and the share of the lamp that is seen */
vec3 pieceAt(ivec2 at, vec3 light) {
#if defined(SHADOWS) && (defined(KEPT) || defined(EXACT))
  return vec3(reliefAt(at).yz, litAt(at, light));
#else
  return vec3(reliefAt(at).yz, 1.0);
#endif
}

vec2 factors(vec2 pixel, float rough) {
  vec3 light = direction, eye = vec3(0.0, 0.0, 1.0);
  float strength = 1.0;
  vec2 place = vec2(pixel.x + 0.5 - 0.5 * size.x, 0.5 * size.y - pixel.y - 0.5) * pixelMm;
#ifdef NEAR
  vec3 to = farMm * direction - vec3(place, 0.0);
  strength = farMm * farMm / dot(to, to);
  light = normalize(to);
#endif
#ifdef EYE
  eye = normalize(vec3(-place, eyeMm));
#endif
#ifdef EXACT
  vec3 piece = pieceAt(ivec2(pixel), light);
#else
  vec2 where = (pixel + 0.5) * texels - 0.5, at = floor(where), part = where - at;
  vec3 piece = mix(mix(pieceAt(ivec2(at), light), pieceAt(ivec2(at) + ivec2(1, 0), light), part.x),
    mix(pieceAt(ivec2(at) + ivec2(0, 1), light), pieceAt(ivec2(at) + 1, light), part.x), part.y);
#if defined(SHADOWS) && !defined(KEPT)
  piece.z = litAt(ivec2(floor(where + 0.5)), light);
#endif
#endif
  vec3 normal = normalize(vec3(-piece.xy, 1.0));
  float nl = dot(normal, light), nv = dot(normal, eye), lv = dot(light, eye);
  /* the half-way vector's length is sqrt(2 + 2 l v) */
  float longer = sqrt(max(2.0 + 2.0 * lv, 1e-6));
  float gain = strength * (1.0 - ambient) / direction.z * piece.z;
  float diffuse = orenNayar(nl, nv, lv, spread) * throughSurface(nl, nv) * gain / measured.x;
  rough = max(length(vec2(rough, lampAlpha)), LEAST_ALPHA);
  float glossy = ggx(nl, nv, (nl + nv) / longer, 0.5 * longer, rough) * gain * gloss;
  return vec2(diffuse + ambient * 0.5 * (1.0 + normal.z), glossy + ambient * measured.y);
}
`;

/* the head of a program that has what it needs */
const having = (wants) => HEAD + wants.map((each) => `#define ${each}\n`).join("");

/* Light of the white sheet at every few pixels, from which the exposure is taken. */
export const SHEET = (wants) => `${having(wants)}${SHADE}${RELIEF}${FACTORS}
uniform float stride, whiteLight, perfect;
out uvec4 result;

void main() {
  vec2 seen = factors(floor(gl_FragCoord.xy) * stride, alpha);
  result = uvec4(floatBitsToUint((whiteLight - measured.y * perfect) * seen.x + perfect * seen.y));
}`;

/* light up to this is held for the eye's blur, as square roots of 16 bits */
const HELD = "8.0";

/* The picture's pixels under the lamp, on the canvas or, to be blurred, as light. */
export const LIT = (wants, blurred) => `${having(wants)}${SHADE}${RELIEF}${FACTORS}${SRGB_CURVE}
uniform sampler2D picture;
uniform vec2 origin;
uniform float canvasHeight, exposure, perfect, inkAlpha, whiteMean, through;
uniform vec4 window;
uniform float windowLight;
out ${blurred ? "uvec4" : "vec4"} result;

#ifdef WINDOW
/* edges are soft over a hundredth of the width */
float inside(float at, float first, float last) {
  float soft = max(0.01 * size.x, 1.0);
  return clamp((at - first) / soft + 0.5, 0.0, 1.0) * clamp((last - at) / soft + 0.5, 0.0, 1.0);
}
#endif

void main() {
  vec2 pixel = floor(vec2(gl_FragCoord.x, canvasHeight - gl_FragCoord.y) - origin);
  vec3 code = texelFetch(picture, ivec2(gl_FragCoord.xy), 0).rgb;
  if (any(lessThan(pixel, vec2(0.0))) || any(greaterThanEqual(pixel, size))) {
    result = ${blurred ? "uvec4(0)" : "vec4(code, 1.0)"};
    return;
  }
  vec3 light = decoded(code);
  float rough = alpha;
#ifdef INK
  rough = mix(alpha, inkAlpha, 1.0 - clamp((light.r + light.g + light.b) / (3.0 * whiteMean), 0.0, 1.0));
#endif
  vec2 seen = factors(pixel, rough);
  light = ((light - measured.y * perfect) * seen.x + perfect * seen.y) * through;
#ifdef WINDOW
  light += windowLight * inside(pixel.x + 0.5, window.x * size.x, window.z * size.x)
      * inside(pixel.y + 0.5, window.y * size.y, window.w * size.y);
#endif
  light *= exposure;
  result = ${
    blurred
      ? `uvec4(sqrt(clamp(light / ${HELD}, 0.0, 1.0)) * 65535.0 + 0.5, 0u)`
      : "vec4(encoded(light), 1.0)"
  };
}`;

/* A Gaussian blur along one axis, within the picture; the second one fills the canvas. */
export const BLURRED = (last) => `${HEAD}${SRGB_CURVE}
uniform usampler2D light;
uniform sampler2D picture;
uniform vec4 box; /* of the picture on the canvas: first and last pixel */
uniform float deviation;
uniform int radius;
out ${last ? "vec4" : "uvec4"} result;

vec3 lightAt(ivec2 at) {
  vec3 root = vec3(texelFetch(light, clamp(at, ivec2(box.xy), ivec2(box.zw)), 0).rgb) / 65535.0;
  return root * root * ${HELD};
}

void main() {
  ivec2 at = ivec2(gl_FragCoord.xy);
  if (any(lessThan(at, ivec2(box.xy))) || any(greaterThan(at, ivec2(box.zw)))) {
    result = ${last ? "vec4(texelFetch(picture, at, 0).rgb, 1.0)" : "uvec4(0)"};
    return;
  }
  vec3 sum = lightAt(at);
  float all = 1.0;
  for (int k = 1; k <= radius; k++) {
    float weight = exp(-0.5 * float(k * k) / (deviation * deviation));
    ivec2 by = ${last ? "ivec2(0, k)" : "ivec2(k, 0)"};
    sum += weight * (lightAt(at + by) + lightAt(at - by));
    all += 2.0 * weight;
  }
  sum /= all;
  result = ${
    last
      ? "vec4(encoded(sum), 1.0)"
      : `uvec4(sqrt(clamp(sum / ${HELD}, 0.0, 1.0)) * 65535.0 + 0.5, 0u)`
  };
}`;
