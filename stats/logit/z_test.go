package logit
import ("testing";"fmt";"gravid/stats/internal/statstest";"math/rand/v2")
func TestZ(t *testing.T){
 for _,id:=range statstest.IDs(t,"firth_*"){ c:=statstest.Load(t,id); m:=requireFit(t,referenceData(t,c,c.Texts("columns")),Options{Penalty:Firth}); r:=m.Constrained(0,m.Coef[0]+2*m.SE[0]); fmt.Println(id,m.Iterations,r.Iterations)}
 for _,d:=range []Data{{Y:[]float64{1,0},X:[][]float64{{1,0}}},{Y:[]float64{2,0},N:[]float64{2,2},X:[][]float64{{1,0}}},{Y:[]float64{36,20},N:[]float64{36,40},X:[][]float64{{1,0}}},{Y:[]float64{3600,1},N:[]float64{3600,4000},X:[][]float64{{1,0}}},{Y:[]float64{1,0,1,0},N:nil,X:[][]float64{{1,0,1,0}},Group:[]int{1,1,2,2}}}{
  m,_:=Fit(d,Options{Penalty:Firth})
  e:=m.Profile(0,.95); fmt.Println(m.Status,m.Coef,m.SE,m.Iterations,e.Lo,e.Hi,e.Status)
 }
 rng:=rand.New(rand.NewPCG(1,2)); hist:=map[int]int{}; fail:=0
 for k:=0;k<20000;k++{ d:=integerData(rng,1+k%4); m,_:=Fit(d,Options{Penalty:Firth}); if m.Status==1 {hist[m.Iterations/10]++}; if m.Status==3 {fail++; if fail<4 {fmt.Printf("%+v %v\n",d,m.Warnings)}}}
 fmt.Println(hist,"failed",fail)
}
