package jobsheet

import "slices"

// Together is what several jobs need between them: what is used or needed once,
// and of each product what all of them take.
func Together(sheets ...Sheet) (bring []string, products []Amount) {
	for _, s := range sheets {
		for _, b := range s.Bring {
			bring = add(bring, b)
		}
		for _, p := range s.Products {
			i := slices.IndexFunc(products, func(a Amount) bool { return a.What == p.What })
			if i < 0 {
				products = append(products, p)
				continue
			}
			products[i].Least += p.Least
			products[i].Most += p.Most
			products[i].Strongest += p.Strongest
		}
	}
	return bring, products
}

// Amounts words products to bring, a line each.
func (w *Words) Amounts(products []Amount) []string {
	var out []string
	for _, p := range products {
		p.What = w.Text(p.What)
		out = append(out, w.amount(p))
	}
	return out
}

// Things words what to bring, a line each.
func (w *Words) Things(bring []string) []string { return w.texts(bring) }
