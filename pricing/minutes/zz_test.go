package minutes

import ("testing";"gonum.org/v1/gonum/floats";"gonum.org/v1/gonum/floats/scalar";"gonum.org/v1/gonum/dsp/fourier";"math/rand")
var _ = scalar.Same

func axpy(p, a, b []float64) {
	for i, w := range a { floats.AddScaled(p[i:i+len(b)], w, b) }
}
// blocked by 4 of a
func block4(p, a, b []float64) {
	i := 0
	for ; i+4 <= len(a); i += 4 {
		a0, a1, a2, a3 := a[i], a[i+1], a[i+2], a[i+3]
		q := p[i : i+len(b)+3]
		var b1, b2, b3 float64
		qq := q[:len(b)]
		for k, x := range b {
			qq[k] += a0*x + a1*b1 + a2*b2 + a3*b3
			b1, b2, b3 = x, b1, b2
		}
		n := len(b)
		q[n] += a1*b1 + a2*b2 + a3*b3
		q[n+1] += a2*b1 + a3*b2
		q[n+2] += a3*b1
	}
	for ; i < len(a); i++ { floats.AddScaled(p[i:i+len(b)], a[i], b) }
}
func block8(p, a, b []float64) {
	i := 0
	for ; i+8 <= len(a); i += 8 {
		a0, a1, a2, a3 := a[i], a[i+1], a[i+2], a[i+3]
		a4, a5, a6, a7 := a[i+4], a[i+5], a[i+6], a[i+7]
		q := p[i : i+len(b)+7]
		qq := q[7:7+len(b)]
		if len(b) < 8 { for k:=range 8 { floats.AddScaled(p[i+k:i+k+len(b)], a[i+k], b) }; continue }
		for k := 0; k < 7; k++ { for l := 0; l <= k; l++ { q[k] += a[i+l]*b[k-l] } }
		n := len(b)
		_ = qq
		r := q[7:n]
		c0, c1,c2,c3,c4,c5,c6,c7 := b[7:], b[6:], b[5:], b[4:], b[3:], b[2:], b[1:], b
		c1=c1[:len(r)];c2=c2[:len(r)];c3=c3[:len(r)];c4=c4[:len(r)];c5=c5[:len(r)];c6=c6[:len(r)];c7=c7[:len(r)];c0=c0[:len(r)]
		for k := range r {
			r[k] += (a0*c0[k] + a1*c1[k]) + (a2*c2[k] + a3*c3[k]) + ((a4*c4[k]+a5*c5[k]) + (a6*c6[k]+a7*c7[k]))
		}
		for k := n; k < n+7; k++ { for l := k-n+1; l < 8; l++ { q[k] += a[i+l]*b[k-l] } }
	}
	for ; i < len(a); i++ { floats.AddScaled(p[i:i+len(b)], a[i], b) }
}
func dot(p, a, b []float64, pad []float64) {
	// pad: zeros len(a)-1, b, zeros len(a)-1 ; ra reversed a
	na := len(a)
	pad = pad[:2*na-2+len(b)+na]
	ra := pad[2*na-2+len(b):]
	for i := range na { ra[na-1-i] = a[i] }
	clear(pad[:na-1]); copy(pad[na-1:], b); clear(pad[na-1+len(b):2*na-2+len(b)])
	for k := range p { p[k] = floats.Dot(ra, pad[k:k+na]) }
}
// 4 outputs at once pure go
func out4(p, a, b []float64, pad []float64) {
	na := len(a)
	pad = pad[:2*na-2+len(b)+na+8]
	ra := pad[2*na-2+len(b)+8:]
	for i := range na { ra[na-1-i] = a[i] }
	clear(pad[:na-1]); copy(pad[na-1:], b); clear(pad[na-1+len(b):2*na-2+len(b)+8])
	k := 0
	for ; k+4 <= len(p); k += 4 {
		w := pad[k:]
		w = w[:na+3]
		var s0,s1,s2,s3 float64
		x0,x1,x2 := w[0],w[1],w[2]
		v := w[3:]
		v = v[:len(ra)]
		for i, y := range ra {
			x3 := v[i]
			s0 += y*x0; s1 += y*x1; s2 += y*x2; s3 += y*x3
			x0,x1,x2 = x1,x2,x3
		}
		p[k],p[k+1],p[k+2],p[k+3] = s0,s1,s2,s3
	}
	for ; k < len(p); k++ { p[k] = floats.Dot(ra, pad[k:k+na]) }
}
func BenchmarkK(b *testing.B) {
	for _, n := range [][2]int{{6,30},{20,60},{45,120},{107,250},{290,360}} {
		x, y := make([]float64, n[0]), make([]float64, n[1])
		for i := range x { x[i] = rand.Float64() }
		for i := range y { y[i] = rand.Float64() }
		pad := make([]float64, 4000)
		want := make([]float64, n[0]+n[1]-1)
		axpy(want, x, y)
		for _, f := range []struct{name string; f func(p []float64)}{
			{"axpy", func(p []float64){ axpy(p,x,y)}},
			{"block4", func(p []float64){ block4(p,x,y)}},
			{"block8", func(p []float64){ block8(p,x,y)}},
			{"dot", func(p []float64){ dot(p,x,y,pad)}},
			{"out4", func(p []float64){ out4(p,x,y,pad)}},
		} {
			p := make([]float64, n[0]+n[1]-1)
			f.f(p)
			if !floats.EqualApprox(p, want, 1e-9) { b.Fatal(f.name) }
			b.Run(f.name, func(b *testing.B) {
				for b.Loop() { clear(p); f.f(p) }
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n[0]*n[1]), "ns/MAC")
			})
		}
	}
	for _, n := range []int{512, 640, 1024, 2048} {
		f := fourier.NewFFT(n)
		x := make([]float64, n); c := make([]complex128, n/2+1)
		b.Run("rfft", func(b *testing.B) { for b.Loop() { f.Coefficients(c, x) } })
	}
}
