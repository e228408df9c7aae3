/* The arithmetic of the live view, in GLSL; reference.py does the same in numpy.

   Without a graphics chip every branch of a shader is worked out, taken or not, so what stays as
   it is for a while is written into it: the passes are functions of their facts. */

export const NODES = 33;

export const HEAD = `#version 300 es
precision highp float;
precision highp int;
precision highp sampler2D;
precision highp usampler2D;
`;

/* what is written into a shader */
const constants = (given) => Object.entries(given)
  .map(([name, value]) => `const ${typeof value === "number" ? "int" : "bool"} ${name} = ${value};\n`)
  .join("");

/* a triangle that covers everything */
export const COVER = `${HEAD}
void main() {
  vec2 corner = vec2(float((gl_VertexID << 1) & 2), float(gl_VertexID & 2));
  gl_Position = vec4(2.0 * corner - 1.0, 0.0, 1.0);
}`;

/* tables of 33 nodes a channel lie as 33 rows (first channel) of 33 x 33 texels */
const TETRAHEDRA = `
struct Place { ivec2 first, second, third, last; vec4 weight; };

ivec2 texel(ivec3 node) { return ivec2(node.y * ${NODES} + node.z, node.x); }

/* the four nodes about a colour of 0..1, and the share of each */
Place place(vec3 colour) {
  vec3 where = clamp(colour, 0.0, 1.0) * ${NODES - 1}.0;
  vec3 low = min(floor(where), ${NODES - 2}.0);
  vec3 f = where - low;
  float most = max(f.x, max(f.y, f.z)), least = min(f.x, min(f.y, f.z));
  float middle = f.x + f.y + f.z - most - least;
  /* along the channel that is furthest on, and not yet along the one that is least; of equals any */
  ivec3 ahead = ivec3(f.x == most, f.y == most && f.x < most, f.z == most && max(f.x, f.y) < most);
  ivec3 behind = ivec3(f.x == least && min(f.y, f.z) > least, f.y == least && f.z > least, f.z == least);
  ivec3 node = ivec3(low);
  return Place(
    texel(node), texel(node + ahead), texel(node + 1 - behind), texel(node + 1),
    vec4(1.0 - most, most - middle, middle - least, least));
}

vec4 within(sampler2D table, Place p) {
  return p.weight.x * texelFetch(table, p.first, 0) + p.weight.y * texelFetch(table, p.second, 0)
    + p.weight.z * texelFetch(table, p.third, 0) + p.weight.w * texelFetch(table, p.last, 0);
}

vec4 within(usampler2D table, Place p) {
  vec4 sum = p.weight.x * vec4(texelFetch(table, p.first, 0))
    + p.weight.y * vec4(texelFetch(table, p.second, 0))
    + p.weight.z * vec4(texelFetch(table, p.third, 0)) + p.weight.w * vec4(texelFetch(table, p.last, 0));
  return sum / 65535.0;
}
`;

export const SRGB_CURVE = `
vec3 encoded(vec3 light) {
  light = clamp(light, 0.0, 1.0);
  return mix(12.92 * light, 1.055 * pow(max(light, 1e-9), vec3(1.0 / 2.4)) - 0.055,
             greaterThan(light, vec3(0.0031308)));
}
vec3 decoded(vec3 code) {
  return mix(code / 12.92, pow((code + 0.055) / 1.055, vec3(2.4)), greaterThan(code, vec3(0.04045)));
}
`;

/* CIE 15:2018 section 8.2.1, and CIEDE2000 of CIE 142-2001 */
const LAB = `
const vec3 D50 = vec3(0.9642, 1.0, 0.8249);
const float EPSILON = 216.0 / 24389.0, SLOPE = 841.0 / 108.0;

vec3 f_of(vec3 t) {
  return mix(SLOPE * t + 4.0 / 29.0, pow(max(t, 1e-9), vec3(1.0 / 3.0)), greaterThan(t, vec3(EPSILON)));
}
vec3 t_of(vec3 f) {
  return mix((f - 4.0 / 29.0) / SLOPE, f * f * f, greaterThan(f, vec3(6.0 / 29.0)));
}
/* XYZ over the white */
vec3 light_of(vec3 lab) {
  float y = (lab.x + 16.0) / 116.0;
  return t_of(vec3(y + lab.y / 500.0, y, y - lab.z / 200.0));
}
vec3 lab_of(vec3 light) {
  vec3 f = f_of(light);
  return vec3(116.0 * f.y - 16.0, 500.0 * (f.x - f.y), 200.0 * (f.y - f.z));
}

float pow7(float c) { float s = c * c; return s * s * s * c; }
float hue(float a, float b) {
  if (a == 0.0 && b == 0.0) return 0.0;
  float h = degrees(atan(b, a));
  return h < 0.0 ? h + 360.0 : h;
}
float difference(vec3 one, vec3 two) {
  float mean = 0.5 * (length(one.yz) + length(two.yz));
  float g = 1.5 - 0.5 * sqrt(pow7(mean) / (pow7(mean) + 6103515625.0));
  float a1 = one.y * g, a2 = two.y * g;
  float c1 = length(vec2(a1, one.z)), c2 = length(vec2(a2, two.z));
  float h1 = hue(a1, one.z), h2 = hue(a2, two.z);
  float turn = h2 - h1, h = h1 + h2;
  if (c1 * c2 == 0.0) turn = 0.0;
  else {
    if (abs(turn) <= 180.0) h *= 0.5;
    else h = h < 360.0 ? 0.5 * (h + 360.0) : 0.5 * (h - 360.0);
    if (turn > 180.0) turn -= 360.0;
    else if (turn < -180.0) turn += 360.0;
  }
  float c = 0.5 * (c1 + c2);
  float t = 1.0 - 0.17 * cos(radians(h - 30.0)) + 0.24 * cos(radians(2.0 * h))
    + 0.32 * cos(radians(3.0 * h + 6.0)) - 0.20 * cos(radians(4.0 * h - 63.0));
  float off = 0.5 * (one.x + two.x) - 50.0;
  off *= off;
  float l = (two.x - one.x) / (1.0 + 0.015 * off / sqrt(20.0 + off));
  float dc = (c2 - c1) / (1.0 + 0.045 * c);
  float dh = 2.0 * sqrt(c1 * c2) * sin(radians(0.5 * turn)) / (1.0 + 0.015 * c * t);
  float far = (h - 275.0) / 25.0;
  float r = -2.0 * sqrt(pow7(c) / (pow7(c) + 6103515625.0)) * sin(radians(60.0 * exp(-far * far)));
  return sqrt(max(l * l + dc * dc + dh * dh + r * dc * dh, 0.0));
}
`;

/* First pass, over the nodes of a table only: media-relative Lab, as the eye sees it, in the
   values of the canvas; last, where it is asked for, by how much (CIEDE2000 / 64) it lies beyond
   the display, or apart from the picture's own colour. */
export const shownShader = (given) => `${HEAD}${constants(given)}${TETRAHEDRA}${SRGB_CURVE}${LAB}
uniform sampler2D nodes, own, display;
uniform vec3 gain;
uniform mat3 toDisplay, fromDisplay, toScreen;
out uvec4 result;

void main() {
  vec3 lab = texelFetch(nodes, ivec2(gl_FragCoord.xy), 0).rgb;
  vec3 light = light_of(lab);
  vec3 seen = lab;
  if (gained) {
    light = max(light * gain, 0.0);
    seen = lab_of(light);
  }
  vec3 shown;
  float beyond = 0.0;
  if (byTable) {
    /* over nearly the display's own values, a little beyond either end */
    vec3 rgb = toDisplay * (light * D50);
    vec3 near = mix(12.92 * rgb, sign(rgb) * (1.055 * pow(max(abs(rgb), 1e-9), vec3(1.0 / 2.4)) - 0.055),
                    greaterThan(abs(rgb), vec3(0.0031308)));
    vec4 found = within(display, place((near + 0.3) / 1.6));
    shown = found.rgb;
    beyond = found.a;
  } else {
    vec3 rgb = clamp(toDisplay * (light * D50), 0.0, 1.0);
    shown = encoded(toScreen * rgb);
    if (ofDisplay) beyond = difference(seen, lab_of(fromDisplay * rgb / D50));
  }
  if (apart) beyond = difference(texelFetch(own, ivec2(gl_FragCoord.xy), 0).rgb, seen);
  result = uvec4(clamp(vec4(shown, beyond / 64.0), 0.0, 1.0) * 65535.0 + 0.5);
}`;

/* Second pass, over the reduced picture's pixels, or every second of them: what the table of the
   first makes of them, and for an overlay how far each lies beyond the paper, and beyond the
   display or apart from the picture (CIEDE2000, as the bits of two floats). */
export const developedShader = (given) => `${HEAD}${constants(given)}${TETRAHEDRA}${SRGB_CURVE}
uniform usampler2D picture, curves, shown;
uniform sampler2D beyond;
uniform int by;
uniform float gainUp;
layout(location = 0) out vec4 result;
layout(location = 1) out uvec2 distances;

void main() {
  uvec3 code = texelFetch(picture, ivec2(gl_FragCoord.xy) * by, 0).rgb;
  if (grey) code = code.rrr;
  uvec3 plain = code;
  if (adjusted) {
    ivec3 low = ivec3(code & 255u), high = ivec3(code >> 8);
    code = uvec3(texelFetch(curves, ivec2(low.r, high.r), 0).r,
                 texelFetch(curves, ivec2(low.g, high.g), 0).g,
                 texelFetch(curves, ivec2(low.b, high.b), 0).b);
  }
  vec4 found;
  float far = 0.0;
  if (grey) {
    float where = float(code.r) * 1023.0 / 65535.0;
    int low = min(int(where), 1022);
    found = mix(vec4(texelFetch(shown, ivec2(low, 0), 0)),
                vec4(texelFetch(shown, ivec2(low + 1, 0), 0)), where - float(low)) / 65535.0;
  }
  Place colours;
  if (!grey) {
    colours = place(vec3(code) / 65535.0);
    found = within(shown, colours);
  }
  if (ofPaper) {
    /* of the picture as it is in its file, as the count says */
    if (grey) {
      float where = float(plain.r) * 1023.0 / 65535.0;
      int low = min(int(where), 1022);
      far = mix(texelFetch(beyond, ivec2(low, 0), 0).r, texelFetch(beyond, ivec2(low + 1, 0), 0).r,
                where - float(low));
    } else {
      if (adjusted) colours = place(vec3(plain) / 65535.0);
      far = within(beyond, colours).r;
    }
  }
  vec3 colour = found.rgb;
  if (brighter) colour = encoded(decoded(colour) * gainUp);
  result = vec4(colour, 1.0);
  distances = floatBitsToUint(vec2(far, 64.0 * found.a));
}`;

/* Third pass, over the canvas: zoom, place, divider, and marks of what lies beyond a limit, so that
   a limit may move without the second.  parts: 0 the print, 1 the picture, 2 both beside a divider. */
export const composedShader = (given) => `${HEAD}${constants(given)}
uniform sampler2D before, after, tileBefore, tileAfter;
uniform usampler2D distances, tileDistances;
uniform float paperLimit, displayLimit, steps[4];
uniform bool line, squares;
uniform float level;
uniform vec4 tileBox;
uniform vec2 origin, size;
uniform float canvasHeight, cut;
uniform vec3 surround, marks[4], stepColours[5];
out vec4 result;

ivec2 nearest(ivec2 texels, vec2 share) {
  return clamp(ivec2(share * vec2(texels)), ivec2(0), texels - 1);
}

/* the whole at its own pixels, or reduced evenly */
vec4 taken(sampler2D from, vec2 share) {
  return exact
    ? texelFetch(from, nearest(textureSize(from, 0), share), 0)
    : textureLod(from, share, level);
}

/* a part: its pixels are squares where they are seen one by one */
vec4 takenFine(sampler2D from, vec2 share) {
  return squares
    ? texelFetch(from, nearest(textureSize(from, 0), share), 0)
    : textureLod(from, share, 0.0);
}

vec2 distanceAt(usampler2D from, vec2 share) {
  return uintBitsToFloat(texelFetch(from, nearest(textureSize(from, 0), share), 0).rg);
}

void main() {
  vec2 pixel = vec2(gl_FragCoord.x, canvasHeight - gl_FragCoord.y) - origin;
  vec2 share = pixel / size;
  if (any(lessThan(share, vec2(0.0))) || any(greaterThanEqual(share, vec2(1.0)))) {
    result = vec4(surround, 1.0);
    return;
  }
  pixel = floor(pixel);
  bool left = parts == 2 ? pixel.x < cut : parts == 1;
  vec2 inTile = (share - tileBox.xy) / (tileBox.zw - tileBox.xy);
  bool fine = hasTile && all(greaterThanEqual(inTile, vec2(0.0))) && all(lessThan(inTile, vec2(1.0)));
  vec4 own = vec4(0.0), print = vec4(0.0);
  if (left || overlay == 2) own = fine ? takenFine(tileBefore, inTile) : taken(before, share);
  if (!left || overlay > 0) print = fine ? takenFine(tileAfter, inTile) : taken(after, share);
  vec3 colour = left ? own.rgb : print.rgb;
  vec2 far = vec2(0.0);
  if (overlay > 0) far = fine ? distanceAt(tileDistances, inTile) : distanceAt(distances, share);
  /* stripes; whole numbers are slow to divide without a graphics chip */
  bool rising = mod(floor((pixel.x + pixel.y + 0.5) / 3.0), 2.0) == 0.0;
  bool falling = mod(floor((pixel.y - pixel.x + 0.5) / 3.0), 2.0) == 0.0;
  /* beside a divider the picture stays as it is */
  if (overlay == 1 && far.x > paperLimit && !(left && line)) {
    float cover = 0.6 + 0.04 * min(far.x - paperLimit, 10.0);
    if (!rising) cover *= 0.4;
    colour = mix(colour, marks[1], cover);
  }
  if (overlay == 2) {
    colour = vec3(floor(dot(floor(own.rgb * 255.0 + 0.5), vec3(0.3, 0.59, 0.11)) * 0.5 + 80.0) / 255.0);
    /* the paper's limit, the display's, or both */
    int mark = (far.x > paperLimit ? 1 : 0) + (far.y > displayLimit ? 2 : 0);
    if ((mark == 1 && rising) || (mark == 2 && falling) || (mark == 3 && (rising || falling)))
      colour = marks[mark];
  }
  if (overlay == 3) {
    int step = 0;
    for (int k = 0; k < 4; k++) step += far.y >= steps[k] ? 1 : 0;
    colour = stepColours[step];
  }
  if (line) {
    if (pixel.x == cut - 1.0) colour = vec3(0.0);
    else if (pixel.x == cut) colour = vec3(1.0);
  }
  result = vec4(colour, 1.0);
}`;
