"""Words in a picture in space that would cover each other or be cut: the page moves them to the nearest free side."""

WORDS_APART = """
    const GAP_PX = 2; // between two words
    function wordsApart(space) { // what comes back is called after each picture, when k3d has placed its words
        const {ObjectsById} = space.getWorld();
        const measured = new WeakMap(); // the page is laid out to measure, so each word is measured once
        const boxOf = word => { // where it is drawn, and its size; a digit is as wide as another
            const text = word.textContent.replace(/[0-9]/g, '0');
            if (!text || word.style.display === 'none') return null;
            let box = measured.get(word);
            if (box?.text !== text) {
                const whole = word.getBoundingClientRect();
                const seen = (word.firstElementChild ?? word).getBoundingClientRect();
                box = {text, x: seen.x - whole.x, y: seen.y - whole.y, wide: seen.width, high: seen.height,
                    whole: [whole.width, whole.height]};
                if (seen.width) measured.set(word, box);
            }
            const [x, y] = word.style.transform.replace(/([+-]) /g, '$1').split(',').map((part, i) =>
                Number(/[+-]?[0-9.]+(?=px)/.exec(part)?.[0] ?? 0) - (/[0-9.]+(?=%)/.exec(part)?.[0] ?? 0) / 100 *
                box.whole[i]);
            return {word, x: x + box.x, y: y + box.y, wide: box.wide, high: box.high};
        };
        const over = (one, x, y) => other => x < other.x + other.wide + GAP_PX && other.x < x + one.wide + GAP_PX
            && y < other.y + other.high + GAP_PX && other.y < y + one.high + GAP_PX;
        return () => {
            const {width, height, ObjectsListJson} = space.getWorld();
            const isName = ([id]) => ObjectsListJson[id]?.type === 'Label'; // letters and readings keep their places
            const things = Object.entries(ObjectsById).filter(([, thing]) => thing.domElements);
            const placed = [];
            things.sort((one, other) => isName(one) - isName(other)).forEach(([, thing]) => {
                const one = boxOf(thing.domElements[0]);
                if (!one || one.x < -one.wide || one.x > width || one.y < -one.high || one.y > height) return;
                const {x, y} = one, free = (toX, toY) => !placed.some(over(one, toX, toY));
                one.x = Math.max(0, Math.min(x, width - one.wide)); // the whole word is in the picture
                one.y = Math.max(0, Math.min(y, height - one.high));
                if (!free(one.x, one.y)) {
                    const ways = placed.flatMap(({x: left, y: top, wide, high}) => [
                        [left - one.wide - GAP_PX, one.y], [left + wide + GAP_PX, one.y],
                        [one.x, top - one.high - GAP_PX], [one.x, top + high + GAP_PX]]);
                    const far = ([toX, toY]) => Math.abs(toX - x) + Math.abs(toY - y);
                    const inside = ([toX, toY]) => toX >= 0 && toY >= 0 && toX + one.wide <= width
                        && toY + one.high <= height;
                    const best = ways.sort((a, b) => far(a) - far(b)).find(way => inside(way) && free(...way));
                    if (best) [one.x, one.y] = best;
                }
                placed.push(one);
                const moved = one.x === x && one.y === y ? '' : `${one.x - x}px ${one.y - y}px`;
                if (one.word.moved !== moved) one.word.style.translate = one.word.moved = moved;
            });
        };
    }
"""
"""JavaScript for the widgets that are with a picture in space."""
