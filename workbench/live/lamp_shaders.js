/* A sheet under a lamp, in GLSL: surface/shade.py, horizon.py, relight.py and analysis/relit.py
   in numpy are what it is held against; their names, their order. */

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
float orenNayar(float nl, float nv, float lv, float sigma) {
  float lit = max(nl, 0.0), square = sigma * sigma;
  float even = 1.0 - 0.5 * square / (square + 0.33), aside = 0.45 * square / (square + 0.09);
  float term = (lv - nl * nv) / max(max(nl, nv), 1e-4);
  return lit * (even + aside * max(term, 0.0));
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
float facetAngle(float alpha) { return atan(alpha / sqrt(2.0)); }
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
flat out vec2 measured;

void main() {
  vec2 corner = vec2(float((gl_VertexID << 1) & 2), float(gl_VertexID & 2));
  gl_Position = vec4(2.0 * corner - 1.0, 0.0, 1.0);
  float half_way = cos(radians(22.5)), rough = max(length(vec2(alpha, lampAlpha)), LEAST_ALPHA);
  measured = vec2(
    orenNayar(MEASURED_COS, 1.0, MEASURED_COS, facetAngle(alpha)) / MEASURED_COS,
    ggx(MEASURED_COS, 1.0, half_way, half_way, rough) / MEASURED_COS * gloss);
}`;

/* The diffuse and glossy factor of a pixel of the picture. */
const FACTORS = `
uniform usampler2D horizons;
uniform vec2 size;
uniform float pixelMm, texels, alpha, lampAlpha, gloss;
uniform vec3 direction;
uniform float farMm, halfAngle, ambient, eyeMm;
uniform int layers; /* 0: the lamp stands above any slope */
uniform bool kept; /* the horizons were worked out before */
uniform float firstAzimuth, azimuthStep;
flat in vec2 measured;

float litShare(float tangent, float horizon) {
  float width = (1.0 + tangent * tangent) * 2.0 * max(halfAngle, 1e-3);
  return clamp((tangent - horizon) / width + 0.5, 0.0, 1.0);
}
float horizonAt(ivec2 at, int layer) {
  ivec2 whole = textureSize(relief, 0);
  if (!kept) return horizonTangent(at, layer);
  at -= whole * ivec2(floor((vec2(at) + 0.5) / vec2(whole)));
  return uintBitsToFloat(texelFetch(horizons, ivec2(at.x, at.y + layer * whole.y), 0).r);
}
float litAt(ivec2 at, vec3 light) {
  float tangent = light.z / max(length(light.xy), 1e-6);
  if (layers == 1) return litShare(tangent, horizonAt(at, 0));
  float turn = degrees(atan(light.y, light.x)) - firstAzimuth;
  float place = (turn - 360.0 * floor(turn / 360.0)) / azimuthStep;
  place = place > float(layers) ? 0.0 : min(place, float(layers - 1));
  int first = min(int(place), layers - 2);
  float share = place - float(first), lit = 0.0;
  if (share < 1.0) lit += (1.0 - share) * litShare(tangent, horizonAt(at, first));
  if (share > 0.0) lit += share * litShare(tangent, horizonAt(at, first + 1));
  return lit;
}

vec2 factors(vec2 pixel, float rough) {
  vec2 place = vec2(pixel.x + 0.5 - 0.5 * size.x, 0.5 * size.y - pixel.y - 0.5) * pixelMm;
  vec3 light = direction, eye = vec3(0.0, 0.0, 1.0);
  float strength = 1.0;
  if (farMm > 0.0) {
    vec3 to = farMm * direction - vec3(place, 0.0);
    strength = farMm * farMm / dot(to, to);
    light = normalize(to);
  }
  if (eyeMm > 0.0) eye = normalize(vec3(-place, eyeMm));
  /* at the relief's own scale its texels are the picture's pixels; otherwise between them */
  vec2 slope;
  float lit = 1.0;
  if (texels == 1.0) {
    ivec2 at = ivec2(pixel);
    slope = reliefAt(at).yz;
    if (layers > 0) lit = litAt(at, light);
  } else {
    vec2 where = (pixel + 0.5) * texels - 0.5, at = floor(where), part = where - at;
    slope = mix(mix(reliefAt(ivec2(at)).yz, reliefAt(ivec2(at) + ivec2(1, 0)).yz, part.x),
                mix(reliefAt(ivec2(at) + ivec2(0, 1)).yz, reliefAt(ivec2(at) + 1).yz, part.x), part.y);
    if (layers > 0 && kept)
      lit = mix(mix(litAt(ivec2(at), light), litAt(ivec2(at) + ivec2(1, 0), light), part.x),
                mix(litAt(ivec2(at) + ivec2(0, 1), light), litAt(ivec2(at) + 1, light), part.x), part.y);
    else if (layers > 0) lit = litAt(ivec2(floor(where + 0.5)), light);
  }
  vec3 normal = normalize(vec3(-slope, 1.0));
  float nl = dot(normal, light), nv = dot(normal, eye), lv = dot(light, eye);
  /* the half-way vector's length is sqrt(2 + 2 l v) */
  float longer = sqrt(max(2.0 + 2.0 * lv, 1e-6));
  float gain = strength * (1.0 - ambient) / direction.z * lit;
  float diffuse = orenNayar(nl, nv, lv, facetAngle(alpha)) * throughSurface(nl, nv) * gain / measured.x;
  rough = max(length(vec2(rough, lampAlpha)), LEAST_ALPHA);
  float glossy = ggx(nl, nv, (nl + nv) / longer, 0.5 * longer, rough) * gain * gloss;
  return vec2(diffuse + ambient * 0.5 * (1.0 + normal.z), glossy + ambient * measured.y);
}
`;

/* Light of the white sheet at every few pixels, from which the exposure is taken. */
export const SHEET = `${HEAD}${SHADE}${RELIEF}${FACTORS}
uniform float stride, whiteLight, perfect;
out uvec4 result;

void main() {
  vec2 seen = factors(floor(gl_FragCoord.xy) * stride, alpha);
  result = uvec4(floatBitsToUint((whiteLight - measured.y * perfect) * seen.x + perfect * seen.y));
}`;

/* light up to this is held for the eye's blur, as square roots of 16 bits */
const HELD = "8.0";

/* The picture's pixels under the lamp, on the canvas or, to be blurred, as light. */
export const LIT = (blurred) => `${HEAD}${SHADE}${RELIEF}${FACTORS}${SRGB_CURVE}
uniform sampler2D picture;
uniform vec2 origin;
uniform float canvasHeight, exposure, perfect, inkAlpha, whiteMean, through;
uniform vec4 window;
uniform float windowLight;
out ${blurred ? "uvec4" : "vec4"} result;

/* edges are soft over a hundredth of the width */
float inside(float at, float first, float last) {
  float soft = max(0.01 * size.x, 1.0);
  return clamp((at - first) / soft + 0.5, 0.0, 1.0) * clamp((last - at) / soft + 0.5, 0.0, 1.0);
}

void main() {
  vec2 pixel = floor(vec2(gl_FragCoord.x, canvasHeight - gl_FragCoord.y) - origin);
  vec3 code = texelFetch(picture, ivec2(gl_FragCoord.xy), 0).rgb;
  if (any(lessThan(pixel, vec2(0.0))) || any(greaterThanEqual(pixel, size))) {
    result = ${blurred ? "uvec4(0)" : "vec4(code, 1.0)"};
    return;
  }
  vec3 light = decoded(code);
  float rough = alpha;
  if (inkAlpha > 0.0)
    rough = mix(alpha, inkAlpha, 1.0 - clamp((light.r + light.g + light.b) / (3.0 * whiteMean), 0.0, 1.0));
  vec2 seen = factors(pixel, rough);
  light = ((light - measured.y * perfect) * seen.x + perfect * seen.y) * through;
  if (windowLight > 0.0)
    light += windowLight * inside(pixel.x + 0.5, window.x * size.x, window.z * size.x)
      * inside(pixel.y + 0.5, window.y * size.y, window.w * size.y);
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
