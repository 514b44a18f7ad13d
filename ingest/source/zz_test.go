package source
import ("testing";"os";"github.com/xuri/excelize/v2";"time";"fmt";"github.com/stretchr/testify/require";"strings")
func dump(f File){ for _,p:=range f.Problems{fmt.Println(" !",p.Severity,p.String(),"|",p.Fix)}
 for _,g:=range f.Grids{ fmt.Printf("== %q hidden=%v hc=%v merges=%v delim=%q enc=%q\n",g.Sheet,g.Hidden,g.HiddenColumns,g.Merges,g.Delimiter,g.Encoding)
  for r:=range g.Each{ fmt.Printf("%d h=%v",r.Number,r.Hidden); for i,c:=range r.Cells{ fmt.Printf(" | %s %d %q n=%v",ColumnName(i),c.Kind,c.Text,c.Number); if c.Unit!=""{fmt.Printf(" u=%q",c.Unit)}; if c.Format!=""{fmt.Printf(" f=%q",c.Format)}; if c.Formula!=""{fmt.Printf(" F=%q",c.Formula)}; if c.Comment!=""{fmt.Printf(" C=%q",c.Comment)};if c.Merged{fmt.Printf(" M")}}; fmt.Println()}}}
func TestZZ(t *testing.T){
 yes:=true
 raw:=excelBytes(t,func(x *excelize.File){
  require.NoError(t,x.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904:&yes}))
  setCell(t,x,"A1",43893); setFormat(t,x,"A1","A1","yyyy-mm-dd")
  setCell(t,x,"B1",43893.3125); setFormat(t,x,"B1","B1","d.m.yy h:mm")
  setCell(t,x,"C1",2.0625); setFormat(t,x,"C1","C1","[h]:mm")
  setCell(t,x,"D1",0.3125); setFormat(t,x,"D1","D1","h:mm AM/PM")
  setCell(t,x,"E1",43893.3125); setFormat(t,x,"E1","E1","h:mm")
  setCell(t,x,"F1",43862); setFormat(t,x,"F1","F1","mmm-yy")
  setCell(t,x,"A2",1234.5); setFormat(t,x,"A2","A2",`[>=1000]0.0," mS";0" µS"`)
  setCell(t,x,"B2",-3.25); setFormat(t,x,"B2","B2",`+0.0" °C";-0.0" °C"`)
  setCell(t,x,"C2",0.0725); setFormat(t,x,"C2","C2",`0.0%`)
  setCell(t,x,"D2",12.5); setFormat(t,x,"D2","D2",`#,##0.00 [$€-407]`)
  setCell(t,x,"E2",3.5); setFormat(t,x,"E2","E2",`# ?/?`)
  setCell(t,x,"F2",1.5e-9); setFormat(t,x,"F2","F2",`0.00E+00`)
  setCell(t,x,"A3","_x0041_ literal & <tag> \"q\""); setCell(t,x,"B3","a\nb"); setCell(t,x,"C3","  two  spaces  "); setCell(t,x,"D3",true)
  require.NoError(t,x.SetCellFormula("Sheet1","E3","SUM(A2:B2)")); require.NoError(t,x.SetCellFormula("Sheet1","F3",`IF(A3="","x","")`))
  require.NoError(t,x.SetCellFormula("Sheet1","G3",`NA()`)); require.NoError(t,x.SetCellFormula("Sheet1","H3",`A2>1`)); require.NoError(t,x.SetCellFormula("Sheet1","I3",`"a"&"b"`))
  require.NoError(t,x.MergeCell("Sheet1","A4","A6")); setCell(t,x,"A4","tank 4"); for i:=4;i<7;i++{setCell(t,x,fmt.Sprintf("B%d",i),i)}
  require.NoError(t,x.SetCellRichText("Sheet1","C4",[]excelize.RichTextRun{{Text:"laid "},{Text:"on",Font:&excelize.Font{Bold:true}},{Text:" moss"}}))
  require.NoError(t,x.AddComment("Sheet1",excelize.Comment{Cell:"D5",Paragraph:[]excelize.RichTextRun{{Text:"first\nsecond"}}}))
  for i:=8;i<12;i++{setCell(t,x,fmt.Sprintf("A%d",i),i); setCell(t,x,fmt.Sprintf("B%d",i),time.Date(2024,3,i,0,0,0,0,time.UTC))}
  require.NoError(t,x.SetRowVisible("Sheet1",9,false)); require.NoError(t,x.SetColVisible("Sheet1","D",false))
 })
 require.NoError(t,os.WriteFile("/tmp/lo/formats.xlsx",raw,0o644))
 for _,n:=range strings.Fields(os.Getenv("FILES")){ b,e:=os.ReadFile(n); require.NoError(t,e); fmt.Println(n); dump(Read(n,b,Limits{})) } }
