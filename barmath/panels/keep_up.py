"""How a picture in space keeps up with a hand: coarser while it moves where drawing is slow, and sharp at rest."""

KEEP_UP = """
    const SLOW_MS = [[30, 0.5], [18, 0.7]]; // a picture that takes longer is drawn with this share of its pixels a way
    const REST_MS = 300, OLD_MS = 20000; // how long a measured picture counts
    const SEEN_MS = 100; // a page out of sight has no frames
    const FRONT = 0; // three.js's name for the outside of a face
    const NEAREST = 0.02; // nearer than this share of its way to what it looks at, the eye sees nothing
    const UNMOVED = {get display() { return 'hidden'; }, set display(_) {}}; // k3d leaves words of this style alone
    // the plot of k3d that is in a box; call what comes back when the box goes; `placing` is asked what places words
    function keepUp(box, placing = () => () => {}) {
        const space = globalThis.__k3dWidgets?.plots?.map(one => one.K3DInstance).find(
            one => box.contains(one?.getWorld().targetDOMNode));
        if (!space) return () => {};
        const {renderer, camera, controls, K3DObjects, ObjectsById, overlayDOMNode} = space.getWorld();
        const gl = renderer.getContext();
        const asked = () => space.getWorld().ObjectsListJson;
        const pixel = new Uint8Array(4), full = renderer.getPixelRatio();
        let began = 0, cost = 0, measured = -Infinity, atRest = false, resting = 0, eye = '', turned = false;
        let words = 0;
        const place = placing(space);
        const dropGrid = () => { // k3d moves all numbers of its grid before each picture, though it shows none of them
            if (overlayDOMNode.childElementCount === words) return;
            const ours = Object.values(ObjectsById).flatMap(one => one.domElements ?? []);
            [...overlayDOMNode.children].filter(one => !ours.includes(one)).forEach(one => {
                one.remove();
                Object.defineProperty(one, 'style', {value: UNMOVED});
            });
            words = overlayDOMNode.childElementCount;
        };
        const before = space.on(space.events.BEFORE_RENDER, () => {
            began = performance.now();
            dropGrid();
            const [, share] = (!atRest && SLOW_MS.find(([slow]) => cost > slow)) || [0, 1];
            if (renderer.getPixelRatio() !== share * full) renderer.setPixelRatio(share * full);
            camera.near = NEAREST * camera.position.distanceTo(controls.target); // farther than k3d: depths are finer
            camera.updateProjectionMatrix();
            camera.updateMatrixWorld();
            camera.frustum.setFromProjectionMatrix(camera.projectionMatrix.clone().multiply(camera.matrixWorldInverse));
            K3DObjects.children.forEach(({K3DIdentifier, material}) => { // k3d draws both sides of what is see-through
                if (material?.transparent && asked()[K3DIdentifier]?.side === 'front') material.side = FRONT;
            });
            turned = eye !== (eye = [...camera.position, ...controls.target, camera.fov, camera.aspect].join());
        });
        const programs = new Set(); // k3d drops a thing that hides, and its program; to make one takes 0.1 s
        const after = space.on(space.events.RENDERED, () => {
            place();
            gl.deleteSync(gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0));
            gl.flush(); // it is drawn from now on, and not when the next frame asks for it
            renderer.info.programs.filter(one => !programs.has(one)).forEach(one => {
                programs.add(one);
                one.usedTimes += 1; // so it is kept
            });
            globalThis.barmathSpaceSeen = new Promise(done => { // charts wait for it, and are in the frame after it
                requestAnimationFrame(() => setTimeout(() => requestAnimationFrame(done)));
                setTimeout(done, SEEN_MS);
            });
            clearTimeout(resting);
            const calm = atRest; // the first picture of all is slow, so each one at rest is measured again
            atRest = false;
            // k3d hides the letters that the eye did not see from its place before
            if (renderer.getPixelRatio() !== full || turned) resting = setTimeout(rest, REST_MS);
            else if (calm || began - measured > OLD_MS) {
                gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixel); // waits until it is drawn
                [cost, measured] = [performance.now() - began, began];
            }
        });
        const rest = () => {
            atRest = true;
            space.render(true);
        };
        return () => {
            clearTimeout(resting);
            space.off(space.events.BEFORE_RENDER, before);
            space.off(space.events.RENDERED, after);
        };
    }
"""
"""JavaScript for the widgets that are with a picture in space."""
