/* A shader program of a vertex and a fragment shader, with the places of its uniforms. */

import { COVER } from "./shaders.js";

export function program(gl, fragment, vertex = COVER) {
  const made = gl.createProgram();
  for (const [kind, text] of [
    [gl.VERTEX_SHADER, vertex],
    [gl.FRAGMENT_SHADER, fragment],
  ]) {
    const shader = gl.createShader(kind);
    gl.shaderSource(shader, text);
    gl.compileShader(shader);
    gl.attachShader(made, shader);
  }
  gl.linkProgram(made);
  if (!gl.getProgramParameter(made, gl.LINK_STATUS) && !gl.isContextLost()) {
    const said = gl.getAttachedShaders(made).map((each) => gl.getShaderInfoLog(each));
    throw new Error(`a shader does not compile: ${[gl.getProgramInfoLog(made), ...said].join(" ")}`);
  }
  const places = new Map();
  const place = (name) => {
    if (!places.has(name)) places.set(name, gl.getUniformLocation(made, name));
    return places.get(name);
  };
  return { made, place };
}
