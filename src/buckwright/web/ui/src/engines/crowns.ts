// Crown classes as colours: sorted at every point that is drawn, so that borders are sharp.

import { Color, DoubleSide, ShaderMaterial, Vector3 } from "three";
import type { CrownLimits } from "../shape";

/** Flat, rolled, low, medium, high, reverse: light to dark as more work, blue for the other way. */
export const CROWN_COLOURS = ["#f4f0e6", "#cfd3c4", "#f3d39a", "#e09a45", "#9c4a12", "#3a74b2"];

/** Attributes `greater` and `lesser`: principal curvatures, 1/mm. Shaded a little by the light. */
export function crowned(limits: CrownLimits): ShaderMaterial {
  return new ShaderMaterial({
    clipping: true,
    side: DoubleSide,
    polygonOffset: true,
    polygonOffsetFactor: 1,
    polygonOffsetUnits: 1,
    uniforms: {
      colours: { value: CROWN_COLOURS.map(plainly) },
      limits: { value: new Vector3(1 / limits.flat, 1 / limits.low, 1 / limits.medium) },
    },
    vertexShader: `
      #include <common>
      #include <clipping_planes_pars_vertex>
      attribute float greater;
      attribute float lesser;
      varying vec2 vBends;
      varying vec3 vUp;
      void main() {
        #include <begin_vertex>
        #include <project_vertex>
        #include <clipping_planes_vertex>
        vBends = vec2(greater, lesser);
        vUp = normalMatrix * normal;
      }`,
    fragmentShader: `
      #include <common>
      #include <clipping_planes_pars_fragment>
      uniform vec3 colours[6];
      uniform vec3 limits;
      varying vec2 vBends;
      varying vec3 vUp;
      void main() {
        #include <clipping_planes_fragment>
        vec2 size = abs(vBends);
        float crown = sqrt(size.x * size.y);
        int kind = crown <= limits.y ? 2 : crown <= limits.z ? 3 : 4;
        if (vBends.x * vBends.y < 0.0) kind = 5;
        if (min(size.x, size.y) <= limits.x) kind = max(size.x, size.y) <= limits.x ? 0 : 1;
        vec3 colour = colours[0];
        for (int k = 1; k < 6; k++) if (k == kind) colour = colours[k];
        float light = 0.82 + 0.18 * abs(normalize(vUp).z);
        gl_FragColor = vec4(colour * light, 1.0);
      }`,
  });
}

/** As it stands in the picture: what is drawn unlit is not to be brightened. */
function plainly(css: string): Vector3 {
  const colour = new Color().setStyle(css, "srgb-linear");
  return new Vector3(colour.r, colour.g, colour.b);
}
