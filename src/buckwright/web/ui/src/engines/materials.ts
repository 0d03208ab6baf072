// How surfaces are drawn: plain metal, reflection stripes, and figures looked up in the scale.

import {
  ClampToEdgeWrapping,
  Color,
  DataTexture,
  DoubleSide,
  LineBasicMaterial,
  MeshLambertMaterial,
  NearestFilter,
  RGBAFormat,
  ShaderMaterial,
  type Material,
} from "three";
import { colourTable } from "./scale";

/** Metal under even light; the inside darker than the outside is left to the light. */
export function plainMetal(dark: boolean, opacity = 1): MeshLambertMaterial {
  return new MeshLambertMaterial({
    color: dark ? 0xa9b0ad : 0xcdd0c9,
    side: DoubleSide,
    transparent: opacity < 1,
    opacity,
    depthWrite: opacity >= 1,
    polygonOffset: true,
    polygonOffsetFactor: 1,
    polygonOffsetUnits: 1,
  });
}

export function solid(colour: number): MeshLambertMaterial {
  return new MeshLambertMaterial({ color: new Color(colour) });
}

/** A field's colour on both sides; an open one is seen through. */
export function fieldMetal(colour: number, on: boolean, open: boolean): MeshLambertMaterial {
  const material = new MeshLambertMaterial({
    color: new Color(colour),
    side: DoubleSide,
    transparent: open,
    opacity: open ? 0.45 : 1,
    depthWrite: !open,
    polygonOffset: true,
    polygonOffsetFactor: 1,
    polygonOffsetUnits: 1,
  });
  if (on) material.emissive.set(colour).multiplyScalar(0.45);
  return material;
}

/** Room that must stay free: seen, and seen through. */
export function seeThrough(colour: number, opacity: number): MeshLambertMaterial {
  return new MeshLambertMaterial({
    color: new Color(colour),
    transparent: true,
    opacity,
    depthWrite: false,
  });
}

export function inked(colour: number): LineBasicMaterial {
  return new LineBasicMaterial({ color: new Color(colour) });
}

const CLIPPED_VERTEX = `
#include <common>
#include <clipping_planes_pars_vertex>
`;

/** How far the light tubes are turned about the upright, radians; all stripes follow it. */
export const tubesTurn = { value: 0 };

/** Light tubes mirrored in the metal: a fair skin bends them smoothly, a dip breaks them. */
export function stripes(): ShaderMaterial {
  return new ShaderMaterial({
    uniforms: { turn: tubesTurn },
    clipping: true,
    side: DoubleSide,
    polygonOffset: true,
    polygonOffsetFactor: 1,
    polygonOffsetUnits: 1,
    vertexShader: `${CLIPPED_VERTEX}
      varying vec3 vMirror;
      void main() {
        #include <begin_vertex>
        #include <project_vertex>
        #include <clipping_planes_vertex>
        vec3 n = normalize((modelMatrix * vec4(normal, 0.0)).xyz);
        vec3 world = (modelMatrix * vec4(position, 1.0)).xyz;
        vMirror = reflect(normalize(world - cameraPosition), n);
      }`,
    fragmentShader: `
      #include <common>
      #include <clipping_planes_pars_fragment>
      uniform float turn;
      varying vec3 vMirror;
      void main() {
        #include <clipping_planes_fragment>
        vec3 m = normalize(vMirror);
        float angle = atan(m.y * cos(turn) - m.x * sin(turn), m.z) * 9.0;
        float wide = fwidth(angle) + 1e-4;
        float tube = smoothstep(-wide, wide, sin(angle));
        vec3 colour = mix(vec3(0.17, 0.20, 0.19), vec3(0.93, 0.92, 0.88), tube);
        gl_FragColor = vec4(colour, 1.0);
      }`,
  });
}

/**
 * A figure at each vertex (attribute `figure`), looked up between -range and range and drawn
 * unlit, so that what is seen is what the legend says; fine lines at every `step`, none at 0.
 */
export function mapped(range: number, step: number): ShaderMaterial {
  const table = new DataTexture(colourTable(), 256, 1, RGBAFormat);
  table.magFilter = NearestFilter;
  table.minFilter = NearestFilter;
  table.wrapS = ClampToEdgeWrapping;
  table.needsUpdate = true;
  return new ShaderMaterial({
    clipping: true,
    side: DoubleSide,
    polygonOffset: true,
    polygonOffsetFactor: 1,
    polygonOffsetUnits: 1,
    uniforms: { table: { value: table }, range: { value: range }, stride: { value: step } },
    vertexShader: `${CLIPPED_VERTEX}
      attribute float figure;
      varying float vFigure;
      void main() {
        #include <begin_vertex>
        #include <project_vertex>
        #include <clipping_planes_vertex>
        vFigure = figure;
      }`,
    fragmentShader: `
      #include <common>
      #include <clipping_planes_pars_fragment>
      uniform sampler2D table;
      uniform float range;
      uniform float stride;
      varying float vFigure;
      void main() {
        #include <clipping_planes_fragment>
        float place = clamp(0.5 + 0.5 * vFigure / range, 0.0, 1.0);
        vec3 colour = texture2D(table, vec2((place * 255.0 + 0.5) / 256.0, 0.5)).rgb;
        float lines = stride > 0.0 ? vFigure / stride : 0.5;
        float away = abs(lines - floor(lines + 0.5)) / max(fwidth(lines), 1e-6);
        float line = 1.0 - smoothstep(0.4, 1.1, away);
        gl_FragColor = vec4(mix(colour, vec3(0.11, 0.13, 0.13), 0.55 * line), 1.0);
      }`,
  });
}

export function discard(material: Material): void {
  if (material instanceof ShaderMaterial) {
    const table = material.uniforms["table"]?.value as DataTexture | undefined;
    table?.dispose();
  }
  material.dispose();
}
